"""Files are their owner's alone; a clock that was set back is told and order kept."""

import io
import stat
from datetime import timedelta
from unittest import skipUnless

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.test import TestCase
from django.utils import timezone

from config.checks import check_clock
from config.databases import sqlite_database
from config.sqlite.base import DatabaseWrapper
from inventory.actions.core.events import record_event
from inventory.evidence.backups.database_copy import copied_database
from inventory.models import Event

MINUTE = timedelta(minutes=1)


def record(at):
    with transaction.atomic():
        return record_event(
            kind="password.changed",
            at=at,
            actor=None,
            location=None,
            subjects=[],
            data={},
        )


def mode(path):
    return stat.S_IMODE(path.stat().st_mode)


def connect(path):
    settings = {
        **sqlite_database(path),
        "AUTOCOMMIT": True,
        "CONN_MAX_AGE": 0,
        "CONN_HEALTH_CHECKS": False,
        "TIME_ZONE": None,
        "TEST": {},
    }
    connection = DatabaseWrapper(settings, "private")
    connection.ensure_connection()
    return connection


@pytest.mark.django_db
@pytest.mark.parametrize("was", [None, 0o644])
def test_a_database_and_its_journal_are_the_owner_s_alone(tmp_path, was):
    path = tmp_path / "db.sqlite3"
    if was:
        path.touch()
        path.chmod(was)
    connection = connect(path)
    connection.connection.execute("CREATE TABLE one (a)")
    connection.connection.execute("BEGIN IMMEDIATE")
    connection.connection.execute("INSERT INTO one VALUES (1)")
    try:
        files = list(tmp_path.iterdir())
        assert len(files) == 2
        assert {mode(file) for file in files} == {0o600}
    finally:
        connection.connection.execute("ROLLBACK")
        connection.connection.close()


@pytest.mark.database
class ClockTests(TestCase):
    @pytest.fixture(autouse=True)
    def _folder(self, tmp_path):
        self.folder = tmp_path

    def verify(self):
        out = io.StringIO()
        call_command("verify", "--rows-only", stdout=out)
        return out.getvalue()

    @skipUnless(connection.vendor == "sqlite", "test_generations looks there")
    def test_a_copy_of_the_database_is_the_owner_s_alone(self):
        with copied_database(self.folder / "copy"):
            assert mode(self.folder / "copy") == 0o600

    def test_a_clock_set_back_is_told_once_and_the_order_is_kept(self):
        now = timezone.now()
        first, second, third = (record(now + n * MINUTE) for n in (60, 0, 1))

        said = self.verify()

        assert (
            f"went back 1 times, first at event {second.sequence}, by 1:00:00" in said
        )
        assert "All well" in said
        kept = Event.objects.order_by("sequence").values_list("pk", flat=True)
        assert list(kept)[-3:] == [first.pk, second.pk, third.pk]

    def test_acts_at_once_are_no_clock_set_back(self):
        now = timezone.now()
        for minutes in (0, -4, -1):
            record(now + minutes * MINUTE)
        assert "went back" not in self.verify()
        assert check_clock(databases=["default"]) == []

    def test_a_clock_behind_the_last_act_is_told_at_start_and_where_ready(self):
        record(timezone.now() + 60 * MINUTE)
        (warning,) = check_clock(databases=["default"])
        assert warning.id == "dock.W002"
        assert self.client.get("/readyz").json()["clock"] == "not ready"
