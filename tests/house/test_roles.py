"""The application's own user of PostgreSQL writes, and cannot undo."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.test import TestCase

from config.roles import is_owner
from inventory.triggers import kept_tables
from tests.journeys import test_from_truck_to_packet, test_lost_on_the_way_home

pytestmark = pytest.mark.database
IS_SQLITE = connection.vendor == "sqlite"

USER = "dock_app_of_test"
on_postgresql = pytest.mark.skipif(IS_SQLITE, reason="SQLite has no users")


class AsServer:
    """Goes on as the server's own user, once the scene is made."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        with connection.cursor() as cursor:
            cursor.execute(f"CREATE ROLE {USER}")
        call_command("database_roles", USER, "--apply", stdout=StringIO())

    def setUp(self):
        super().setUp()
        with connection.cursor() as cursor:
            cursor.execute(f"SET LOCAL ROLE {USER}")


@on_postgresql
class TruckToPacketTests(AsServer, test_from_truck_to_packet.FromTruckToPacketTests):
    """From the truck to the claim file, as the server's user."""


@on_postgresql
class WayHomeTests(AsServer, test_lost_on_the_way_home.LostOnTheWayHome):
    """Crates home, lost, claimed and paid, as the server's user."""


@on_postgresql
class RoleTests(AsServer, TestCase):
    def refuses(self, statement):
        with (
            pytest.raises(DatabaseError) as caught,
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)
        assert caught.value.__cause__.sqlstate == "42501"  # insufficient_privilege

    def test_no_kept_row_can_be_changed_or_deleted(self):
        for table in kept_tables():
            self.refuses(f"DELETE FROM {table}")
            self.refuses(f"TRUNCATE {table} CASCADE")

    def test_the_columns_of_an_append_only_table_cannot_be_written(self):
        self.refuses("UPDATE inventory_event SET body = ''")
        self.refuses("UPDATE inventory_leg SET cents = 1")

    def test_no_trigger_can_be_dropped_switched_off_or_hollowed(self):
        self.refuses("DROP TRIGGER keep_inventory_event_update ON inventory_event")
        self.refuses("ALTER TABLE inventory_event DISABLE TRIGGER ALL")
        self.refuses("ALTER TABLE inventory_event ADD COLUMN note text")
        self.refuses("CREATE TABLE theirs (id integer)")
        self.refuses(
            "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger "
            "LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$"
        )
        self.refuses("SET LOCAL session_replication_role = replica")

    def test_the_tables_owner_is_known(self):
        assert not is_owner(connection)
        with connection.cursor() as cursor:
            cursor.execute("RESET ROLE")
        assert is_owner(connection)

    def test_a_name_that_needs_quotes_is_refused(self):
        with pytest.raises(CommandError, match="small letters"):
            call_command("database_roles", 'a"; DROP TABLE x; --')

    def test_without_apply_it_only_prints(self):
        said = StringIO()
        call_command("database_roles", "somebody_else", stdout=said)
        assert 'GRANT SELECT, INSERT, UPDATE ("sequence") ON "inventory_event"' in (
            said.getvalue()
        )


@pytest.mark.skipif(not IS_SQLITE, reason="said on SQLite")
def test_sqlite_has_no_users():
    with pytest.raises(CommandError, match="SQLite has no users"):
        call_command("database_roles", "dock")
