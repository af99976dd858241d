"""On PostgreSQL every wait ends, and the page says that nothing was saved."""

import os
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.db import OperationalError, connection
from django.test import SimpleTestCase, TestCase

from config.databases import database_from
from config.errors import BUSY, SLOW, unavailable_because

URL = "postgres://dock@db.example/house"
HERE = Path("unused")


class OptionsTests(SimpleTestCase):
    def options(self, url=URL, **more):
        found = database_from(url, default_path=HERE, **more)
        return found["OPTIONS"]["options"]

    def test_a_command_waits_for_locks_only(self):
        assert (
            self.options() == "-c jit=off -c random_page_cost=1.1 -c lock_timeout=20s"
        )

    def test_a_page_has_a_statement_s_time_too(self):
        said = self.options(statement_seconds=50)
        assert (
            said
            == "-c jit=off -c random_page_cost=1.1 -c lock_timeout=20s -c statement_timeout=50s"
        )

    def test_what_the_address_asks_for_comes_last_and_holds(self):
        said = self.options(f"{URL}?options=-c%20lock_timeout=3s")
        assert said.endswith("-c lock_timeout=20s -c lock_timeout=3s")


@pytest.mark.database
@pytest.mark.skipif(connection.vendor == "sqlite", reason="PostgreSQL's own waits")
class WaitTests(TestCase):
    def open(self, words):
        """Return a connection of its own, with these options."""
        mine = database_from(
            os.environ["DATABASE_URL"], default_path=HERE, statement_seconds=1
        )
        options = mine["OPTIONS"]["options"].replace("20s", words)
        found = connection.copy("own")
        found.settings_dict["OPTIONS"]["options"] = options
        self.addCleanup(found.close)
        return found

    def test_a_statement_that_takes_too_long_is_stopped_and_told(self):
        with pytest.raises(OperationalError) as caught:
            self.open("20s").cursor().execute("SELECT pg_sleep(5)")
        assert unavailable_because(caught.value) is SLOW

    def test_a_lock_that_is_held_too_long_is_told(self):
        other = self.open("200ms")
        with connection.cursor() as cursor:
            cursor.execute("LOCK TABLE inventory_lanebeat")
            with other.cursor() as waiting, pytest.raises(OperationalError) as caught:
                waiting.execute("DELETE FROM inventory_lanebeat")
        assert unavailable_because(caught.value) is BUSY

    def test_the_house_s_own_connection_has_both(self):
        with connection.cursor() as cursor:
            cursor.execute("SHOW lock_timeout")
            assert cursor.fetchone() == ("20s",)
            cursor.execute("SHOW jit")
            assert cursor.fetchone() == ("off",)
        assert urlsplit(os.environ["DATABASE_URL"]).scheme.startswith("postgres")
