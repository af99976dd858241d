"""Tables and triggers that somebody changed behind the program are named by verify."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import TestCase

from inventory.shape import NotComparedError, shape_faults
from inventory.triggers import wanted_triggers

pytestmark = pytest.mark.database

IS_SQLITE = connection.vendor == "sqlite"
on_sqlite = pytest.mark.skipif(not IS_SQLITE, reason="SQLite keeps words of its own")
on_postgresql = pytest.mark.skipif(IS_SQLITE, reason="PostgreSQL alone can do this")


def run(*statements):
    with connection.cursor() as cursor:
        for one in statements:
            cursor.execute(one)


def rewrite(kind, name, old, new):
    """Change the words that a SQLite file keeps of a table, as its owner can."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA writable_schema = ON")
        cursor.execute(
            "UPDATE sqlite_master SET sql = replace(sql, %s, %s) "
            "WHERE type = %s AND name = %s",
            [old, new, kind, name],
        )
        cursor.execute("PRAGMA writable_schema = OFF")


class TestTheShape(TestCase):
    def told(self):
        (said,) = list(shape_faults(connection))
        return said

    def test_a_migrated_house_has_the_program_s_own(self):
        assert list(shape_faults(connection)) == []

    def test_a_missing_trigger_is_named(self):
        one = wanted_triggers(connection.vendor)[0]
        tail = "" if IS_SQLITE else f" ON {one.table}"
        run(f"DROP TRIGGER {one.name}{tail}")

        said = self.told()
        assert (
            said
            == f"Trigger {one.name} on {one.table} is missing. Run manage.py migrate."
        )

    @on_sqlite
    def test_a_trigger_hollowed_under_its_own_name_is_named(self):
        run(
            "DROP TRIGGER keep_inventory_event_update",
            "CREATE TRIGGER keep_inventory_event_update BEFORE UPDATE "
            "ON inventory_event BEGIN SELECT 1; END",
        )

        assert self.told().startswith(
            "Trigger keep_inventory_event_update on inventory_event was changed."
        )

    @on_postgresql
    def test_a_function_hollowed_under_its_own_name_is_named(self):
        run(
            "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger "
            "LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$"
        )

        said = list(shape_faults(connection))
        assert any(
            one.startswith("Trigger keep_inventory_event_update") for one in said
        )
        assert all("was changed" in one for one in said)

    @on_postgresql
    def test_a_trigger_that_was_switched_off_is_named(self):
        run("ALTER TABLE inventory_event DISABLE TRIGGER keep_inventory_event_update")

        assert "keep_inventory_event_update" in self.told()

    @on_postgresql
    def test_a_rule_that_swallows_writes_is_named(self):
        run("CREATE RULE quiet AS ON INSERT TO inventory_event DO INSTEAD NOTHING")

        assert self.told().startswith("Rule quiet on inventory_event is not the prog")

    def test_a_trigger_of_somebody_else_is_named(self):
        body = (
            "BEGIN DELETE FROM inventory_lanebeat; END"
            if IS_SQLITE
            else "EXECUTE FUNCTION refuse_change()"
        )
        run(
            "CREATE TRIGGER theirs AFTER INSERT ON inventory_event FOR EACH ROW " + body
        )

        assert self.told().startswith(
            "Trigger theirs on inventory_event is not the program's own"
        )

    @on_sqlite
    def test_a_check_taken_off_a_table_is_named(self):
        rewrite("table", "inventory_leg", 'CONSTRAINT "leg_not_zero" CHECK', "CHECK")

        assert self.told().startswith("Table inventory_leg was changed.")

    def test_a_column_that_was_added_is_named(self):
        run("ALTER TABLE inventory_event ADD COLUMN note varchar(20)")

        assert self.told().startswith("Table inventory_event is not the program's own")

    def test_an_index_that_keeps_rows_apart_and_was_dropped_is_named(self):
        run("DROP INDEX mail_open")

        assert self.told() == (
            "Index mail_open on inventory_outgoingmail is missing. "
            "Run manage.py migrate."
        )

    def test_a_table_of_somebody_else_is_named(self):
        run("CREATE TABLE inventory_theirs (id integer)")

        assert self.told().startswith("Table inventory_theirs is not the program's own")

    def test_verify_names_it(self):
        run("CREATE TABLE claims_theirs (id integer)")
        said = StringIO()

        with pytest.raises(CommandError):
            call_command("verify", "--rows-only", stdout=said)

        assert "Table claims_theirs" in said.getvalue()

    @on_postgresql
    def test_a_user_who_may_make_nothing_is_told_so(self):
        run(
            "CREATE ROLE looker",
            "GRANT SELECT ON ALL TABLES IN SCHEMA public TO looker",
            "SET LOCAL ROLE looker",
        )
        with pytest.raises(NotComparedError):
            list(shape_faults(connection))
        run("RESET ROLE")
