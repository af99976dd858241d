"""A connection to SQLite that is kept between requests holds up and misses nothing."""

import sqlite3
from contextlib import closing

import pytest
from django.db import DatabaseError

from config.databases import KEPT_SECONDS, sqlite_database
from config.sqlite.base import DatabaseWrapper

pytestmark = pytest.mark.django_db
"""Nothing here asks Django's own database, but pytest-django guards every connection."""

ROWS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n LIMIT 9999) "


def write(path, words):
    """Write as another process does, without waiting for anybody."""
    with closing(sqlite3.connect(path, timeout=0, isolation_level=None)) as other:
        other.execute(words)


def one(connection):
    with connection.cursor() as cursor:
        return cursor.execute("SELECT name FROM crate").fetchone()[0]


@pytest.fixture
def path(tmp_path):
    found = tmp_path / "db.sqlite3"
    write(found, "CREATE TABLE crate (name TEXT)")
    write(found, f"{ROWS} INSERT INTO crate SELECT 'first' FROM n")
    return found


@pytest.fixture
def connection(path):
    settings = {
        **sqlite_database(path),
        "AUTOCOMMIT": True,
        "CONN_HEALTH_CHECKS": False,
        "TIME_ZONE": None,
        "TEST": {},
    }
    made = DatabaseWrapper(settings, "kept")
    yield made
    made.close()


def test_it_is_kept_for_a_while_and_sees_what_others_wrote(path, connection):
    assert one(connection) == "first"
    before = connection.connection
    connection.close_if_unusable_or_obsolete()
    write(path, "UPDATE crate SET name = 'second'")

    assert one(connection) == "second"
    assert connection.connection is before
    connection.close_at -= KEPT_SECONDS
    connection.close_if_unusable_or_obsolete()
    assert connection.connection is None


def test_a_statement_that_nobody_read_to_its_end_holds_up_no_writer(path, connection):
    connection.ensure_connection()
    cursor = connection.create_cursor()
    cursor.execute("SELECT name FROM crate")
    assert cursor.fetchone() == ("first",)
    with pytest.raises(sqlite3.OperationalError, match="locked"):
        write(path, "DELETE FROM crate")

    connection.close_if_unusable_or_obsolete()
    write(path, "DELETE FROM crate")


def test_a_file_put_in_its_place_is_the_one_that_is_read(path, connection, tmp_path):
    assert one(connection) == "first"
    other = tmp_path / "restored"
    write(other, "CREATE TABLE crate (name TEXT)")
    write(other, "INSERT INTO crate VALUES ('restored')")
    other.replace(path)

    connection.close_if_unusable_or_obsolete()
    assert one(connection) == "restored"


def test_one_that_met_an_error_is_not_kept(connection):
    with pytest.raises(DatabaseError), connection.cursor() as cursor:
        cursor.execute("SELECT name FROM nowhere")
    connection.close_if_unusable_or_obsolete()

    assert connection.connection is None
    assert one(connection) == "first"


def test_what_a_transaction_reads_is_not_let_go_within_it(connection):
    connection.ensure_connection()
    connection.in_atomic_block = True
    cursor = connection.create_cursor()
    cursor.execute("SELECT name FROM crate")
    connection.close_if_unusable_or_obsolete()
    connection.in_atomic_block = False

    assert cursor.fetchone() == ("first",)
