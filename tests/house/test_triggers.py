"""The triggers are taken away before a migration and made again after the last app."""

import pytest
from django.apps import apps
from django.db import connection
from django.test import TestCase

from inventory import triggers


@pytest.mark.database
class TestAroundAMigration(TestCase):
    def test_they_go_before_it_and_come_back_after_the_last_app(self):
        wanted = {one.name for one in triggers.wanted_triggers(connection.vendor)}
        assert triggers.missing_triggers(connection) == []

        triggers.drop_before_migrate(using="default")
        assert set(triggers.missing_triggers(connection)) == wanted
        triggers.drop_triggers(connection)  # nothing is there to take away

        first, *_, last = [
            config for config in apps.get_app_configs() if config.models_module
        ]
        triggers.make_after_migrate(sender=first, using="default")
        assert set(triggers.missing_triggers(connection)) == wanted
        triggers.make_after_migrate(sender=last, using="default")
        assert triggers.missing_triggers(connection) == []
        triggers.make_triggers(connection)  # all of them stand

    def test_a_single_missing_one_is_named_and_made(self):
        one = triggers.wanted_triggers(connection.vendor)[0]
        tail = f" ON {one.table}" if connection.vendor == "postgresql" else ""
        with connection.cursor() as cursor:
            cursor.execute(f"DROP TRIGGER {one.name}{tail}")
        assert triggers.missing_triggers(connection) == [one.name]
        triggers.make_triggers(connection)
        assert triggers.missing_triggers(connection) == []


@pytest.mark.parametrize("vendor", ["sqlite", "postgresql"])
def test_each_kept_table_refuses_change_and_loss_on_both_databases(vendor):
    kept = set(triggers.kept_tables())
    by_table = {}
    for one in triggers.wanted_triggers(vendor):
        if one.name.startswith("keep_"):
            by_table.setdefault(one.table, set()).add(
                one.name.removeprefix(f"keep_{one.table}_")
            )
    acts = {"update", "delete"} | ({"truncate"} if vendor == "postgresql" else set())
    assert by_table == dict.fromkeys(kept, acts)


def test_a_row_is_completed_while_its_column_is_empty_and_never_deleted():
    sql = {one.name: one.sql for one in triggers.wanted_triggers("postgresql")}
    assert "WHEN (OLD.page <> '')" in sql["keep_inventory_once_update"]
    assert "WHEN" not in sql["keep_inventory_once_delete"]
    assert "WHEN" not in sql["keep_inventory_event_update"]
    assert "FOR EACH STATEMENT" in sql["keep_inventory_once_truncate"]
    assert "FOR EACH ROW" in sql["keep_inventory_once_update"]
