"""Eight writers on one SQLite file: ``python -m tests.bench.writers``.

A look, not a test: acts a second and the longest wait, through the gate and by SQLite's
own waiting alone. ``SECONDS``, ``THINK`` (seconds between acts), ``WRITERS`` and ``WAYS`` change it.
"""

import json
import os
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SECONDS = float(os.environ.get("SECONDS", "10"))
THINK = float(os.environ.get("THINK", "0.05"))
START_SECONDS = 5
WRITERS = int(os.environ.get("WRITERS", "8"))


def write(path, way, start):
    """Write as one of them; print how long each act waited until it could begin."""
    begin, end = _gated(path) if way == "gate" else _bare(path)
    begin()("SELECT 1")
    end()
    time.sleep(max(0, float(start) - time.monotonic()))
    waits, stop = [], time.monotonic() + SECONDS
    while time.monotonic() < stop:
        begun = time.monotonic()
        run = begin()
        waits.append(time.monotonic() - begun)
        run("UPDATE purse SET total = total + 1")
        run("INSERT INTO line VALUES (zeroblob(2000))")
        end()
        time.sleep(THINK)
    sys.stdout.write(json.dumps(waits))


def _bare(path):
    connection = sqlite3.connect(path, timeout=20, isolation_level=None)
    connection.execute("PRAGMA synchronous = EXTRA")

    def begin():
        connection.execute("BEGIN IMMEDIATE")
        return connection.execute

    return begin, lambda: connection.execute("COMMIT")


def _gated(path):
    from django.conf import settings

    from config.databases import sqlite_database

    settings.configure(DATABASES={"default": sqlite_database(path)})
    import django

    django.setup()
    from django.db import connection, transaction

    acts = []

    def begin():
        acts.append(transaction.atomic())
        acts[-1].__enter__()
        return connection.cursor().execute

    return begin, lambda: acts.pop().__exit__(None, None, None)


def main():
    sys.stdout.write(
        f"{'':10}{'acts/s':>8}{'longest':>10}{'median':>10}{'failed':>8}\n"
    )
    for way in os.environ.get("WAYS", "sqlite gate").split():
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "db.sqlite3"
            with sqlite3.connect(path) as connection:
                connection.execute("CREATE TABLE purse (total INTEGER)")
                connection.execute("CREATE TABLE line (words BLOB)")
                connection.execute("INSERT INTO purse VALUES (0)")
            start = str(time.monotonic() + START_SECONDS)
            asked = [sys.executable, "-m", "tests.bench.writers", str(path), way, start]
            started = [
                subprocess.Popen(asked, stdout=subprocess.PIPE) for _ in range(WRITERS)
            ]
            said = [one.communicate()[0] for one in started]
            waits = sorted(wait for one in said for wait in json.loads(one or "[]"))
            failed = sum(one.returncode != 0 for one in started)
        sys.stdout.write(
            f"{way:10}{len(waits) / SECONDS:8.0f}{waits[-1]:8.3f} s"
            f"{waits[len(waits) // 2]:8.4f} s{failed:8}\n"
        )


if __name__ == "__main__":
    write(*sys.argv[1:]) if sys.argv[1:] else main()
