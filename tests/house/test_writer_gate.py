"""One writer at a time, between threads and between processes; nobody is left out."""

import os
import sqlite3
import subprocess
import sys
import threading
from contextlib import contextmanager

import pytest
from django.db import OperationalError, connections, transaction

from config.databases import sqlite_database
from tests import starters
from tests.house.running import ROOT

WRITE_MANY = """
import sys
from django.conf import settings
from config.databases import sqlite_database
settings.configure(DATABASES={"default": sqlite_database(sys.argv[1])})
import django
django.setup()
from django.db import connection, transaction
for _ in range(int(sys.argv[2])):
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT total FROM purse")
        total = cursor.fetchone()[0]
        cursor.execute("UPDATE purse SET total = %s", [total + 1])
"""


@pytest.fixture
def open_connection(tmp_path, django_db_blocker):
    """Return a function that opens one more connection to the same file."""
    opened = []

    def open_one(timeout=0.2):
        alias = f"gate_{len(opened)}"
        database = sqlite_database(tmp_path / "db.sqlite3")
        database["OPTIONS"]["timeout"] = timeout
        configured = connections.configure_settings({"default": {}, alias: database})
        connections.settings[alias] = configured[alias]
        opened.append(alias)
        return connections[alias]

    with django_db_blocker.unblock():
        yield open_one
        for alias in opened:
            connections[alias].close()
            del connections[alias], connections.settings[alias]


@pytest.fixture
def first(open_connection):
    connection = open_connection()
    execute(connection, "CREATE TABLE purse (total INTEGER)")
    execute(connection, "INSERT INTO purse VALUES (0)")
    return connection


def execute(connection, sql):
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return cursor.fetchone() if sql.startswith("SELECT") else None


def atomic(connection):
    return transaction.atomic(using=connection.alias)


@contextmanager
def writing(connection):
    """Keep a write transaction open, and take it back at the end."""
    with atomic(connection):
        yield
        transaction.set_rollback(True, using=connection.alias)


def test_the_gate_is_held_from_begin_to_commit(first):
    assert not first.gate.is_held

    with atomic(first):
        assert first.gate.is_held

    assert not first.gate.is_held


def test_the_gate_is_given_back_after_a_rollback(first):
    with writing(first):
        assert first.gate.is_held

    assert not first.gate.is_held


def test_the_gate_is_given_back_when_the_connection_closes(first, open_connection):
    with atomic(first):
        first.close()

        with atomic(open_connection()):
            pass


def test_the_gate_is_held_beyond_a_savepoint(first):
    with atomic(first):
        with atomic(first):
            execute(first, "UPDATE purse SET total = 1")
        assert first.gate.is_held

    assert not first.gate.is_held


def test_an_error_inside_the_transaction_gives_the_gate_back(first, open_connection):
    with pytest.raises(OperationalError), atomic(first):
        execute(first, "UPDATE nowhere SET total = 1")

    assert not first.gate.is_held
    execute(open_connection(), "UPDATE purse SET total = 2")


def test_a_begin_that_sqlite_refuses_gives_the_gate_back(first, tmp_path):
    stranger = sqlite3.connect(tmp_path / "db.sqlite3", isolation_level=None)
    stranger.execute("BEGIN IMMEDIATE")

    with pytest.raises(OperationalError, match="database is locked"), atomic(first):
        pass
    stranger.close()

    assert not first.gate.is_held


def test_a_second_writer_is_refused_in_sqlites_own_words(first, open_connection):
    second = open_connection()

    refused = pytest.raises(OperationalError, match="database is locked")
    with writing(first), refused, atomic(second):
        pass


def test_a_single_statement_waits_at_the_gate_too(first, open_connection):
    second = open_connection()
    first.gate.acquire()

    with pytest.raises(OperationalError, match="another writer held"):
        execute(second, "UPDATE purse SET total = 9")

    first.gate.release()
    execute(second, "UPDATE purse SET total = 9")
    assert execute(second, "SELECT total FROM purse") == (9,)


def test_readers_do_not_wait(first, open_connection):
    second = open_connection()

    with writing(first):
        assert execute(second, "SELECT total FROM purse") == (0,)


def test_a_second_writer_goes_on_when_the_first_is_done(first, open_connection):
    second = open_connection(timeout=10)
    first.gate.acquire()
    done = threading.Timer(0.2, first.gate.release)
    done.start()

    with atomic(second):
        assert second.gate.is_held
    done.join()


def test_a_forked_child_that_goes_does_not_open_the_gate(first, open_connection):
    second = open_connection()

    with writing(first):
        child = os.fork()
        if child == 0:
            first.gate.release()
            os._exit(0)
        os.waitpid(child, 0)

        with pytest.raises(OperationalError, match="database is locked"):
            second.take_gate()


def test_a_killed_writer_leaves_the_gate_open(first, open_connection, tmp_path):
    hold = (
        "import sys, time; from pathlib import Path; "
        "from config.sqlite.gate import WriterGate; "
        "WriterGate(Path(sys.argv[1]), timeout=5).acquire(); "
        "print('held', flush=True); time.sleep(60)"
    )
    with subprocess.Popen(
        [sys.executable, "-c", hold, f"{tmp_path}/db.sqlite3.gate"],
        cwd=ROOT,
        stdout=subprocess.PIPE,
    ) as holder:
        assert holder.stdout.readline() == b"held\n"
        with pytest.raises(OperationalError):
            first.take_gate()
        holder.kill()

    second = open_connection(timeout=5)
    with atomic(second):
        assert second.gate.is_held


def test_four_processes_lose_no_write_and_none_is_locked_out(first, tmp_path):
    writers = [
        starters.start(
            ["-c", WRITE_MANY, f"{tmp_path}/db.sqlite3", "100"], dict(os.environ)
        )
        for _ in range(4)
    ]

    errors = [writer.communicate(timeout=60)[1] for writer in writers]

    assert errors == ["", "", "", ""]
    assert execute(first, "SELECT total FROM purse") == (400,)


def test_four_threads_lose_no_write(first, open_connection):
    alias = open_connection(timeout=20).alias

    def add_many():
        mine = connections[alias]
        for _ in range(50):
            with atomic(mine):
                (total,) = execute(mine, "SELECT total FROM purse")
                execute(mine, f"UPDATE purse SET total = {total + 1}")
        mine.close()

    threads = [threading.Thread(target=add_many) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert execute(first, "SELECT total FROM purse") == (200,)
