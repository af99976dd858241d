"""Every connection has the pragmas we promise, and the check sees when it has not."""

import pytest
from django.db import ConnectionHandler

from config.checks import wrong_pragmas
from config.databases import sqlite_database


@pytest.fixture
def connection(tmp_path, django_db_blocker):
    handler = ConnectionHandler({"default": sqlite_database(tmp_path / "db.sqlite3")})
    with django_db_blocker.unblock():
        yield handler["default"]
        handler["default"].close()


def test_a_new_connection_has_them_all(connection):
    assert wrong_pragmas(connection) == []


def test_a_second_connection_has_them_too(connection):
    connection.ensure_connection()
    connection.close()

    assert wrong_pragmas(connection) == []


@pytest.mark.parametrize(
    ("pragma", "name"),
    [
        ("journal_mode=WAL", "journal_mode"),
        ("synchronous=NORMAL", "synchronous"),
        ("foreign_keys=OFF", "foreign_keys"),
        ("recursive_triggers=OFF", "recursive_triggers"),
        ("busy_timeout=5000", "busy_timeout"),
    ],
)
def test_a_changed_pragma_is_named(connection, pragma, name):
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {pragma}")

    (sentence,) = wrong_pragmas(connection)

    assert sentence.startswith(f"SQLite's {name} is")


def test_insert_or_replace_does_not_pass_a_trigger_against_deleting(connection):
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE kept (id INTEGER PRIMARY KEY, words TEXT)")
        cursor.execute(
            "CREATE TRIGGER keep BEFORE DELETE ON kept "
            "BEGIN SELECT RAISE(ABORT, 'kept is append-only'); END"
        )
        cursor.execute("INSERT INTO kept VALUES (1, 'first')")

        with pytest.raises(Exception, match="append-only"):
            cursor.execute("INSERT OR REPLACE INTO kept VALUES (1, 'second')")
