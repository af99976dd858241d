"""Open every page of a house at several ages: ``python -m tests.bench.flat 1000 100000``.

A look, not a test. Prints a row a page: the work counted, the processor time of the
second opening, and how much more the last size takes than the first. ``PAGES=dock`` opens
only pages whose name begins so; ``OPEN=2000`` leaves so many open, and not 400.
"""

import os
import shutil
import sys
import tempfile
import time
from contextlib import contextmanager

import django

from tests.prepared import (
    create_database,
    drop_database,
    environment,
    postgres_template,
    sqlite_file,
)

SIZES = (1_000, 100_000)


def say(text):
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


@contextmanager
def site(folder):
    """Point this process at a migrated house of its own."""
    url = os.environ.get("DATABASE_URL", "")
    os.environ.update(environment(folder, url))
    django.setup()
    from django.db import connection

    if connection.vendor == "sqlite":
        shutil.copyfile(sqlite_file(), connection.settings_dict["NAME"])
        yield
        return
    name = f"dock_bench_{os.getpid()}"
    create_database(url, name, postgres_template(url))
    connection.settings_dict["NAME"] = name
    try:
        yield
    finally:
        connection.close()
        drop_database(url, name)


def settled():
    """Let the database settle after a great change, as it does by itself at night."""
    from django.db import connection

    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("VACUUM ANALYZE")


def measured(house, only):
    from django.test import Client

    from tests.bench.counted import opened, pages

    client, found = Client(SERVER_NAME="localhost"), {}
    for name, (person, url) in pages(house.story).items():
        if not name.startswith(only):
            continue
        begun = time.process_time()
        one = opened(client, house.who, person, url)
        begun = time.process_time()
        client.get(url)
        found[name] = (one, time.process_time() - begun)
    return found


def table(sizes, found):
    say(f"{'page':28}" + "".join(f"{size:>26,}" for size in sizes) + "     ratio")
    rows = [(name, [found[size][name] for size in sizes]) for name in found[sizes[0]]]
    for name, figures in sorted(rows, key=lambda row: -_ratio(row[1])):
        told = (
            f"{one.work:>11,} {seconds * 1000:6.0f} ms {one.size // 1000:>3} K"
            for one, seconds in figures
        )
        say(f"{name:28}" + "".join(told) + f"{_ratio(figures):10.2f}")


def _ratio(figures):
    return figures[-1][0].work / max(1, figures[0][0].work)


def main(sizes, only):
    from config.static_files import collect_when_changed
    from tests.bench.growing import OPEN, GrowingHouse

    collect_when_changed()
    house, found = GrowingHouse(int(os.environ.get("OPEN", "400")) // OPEN), {}
    for size in sizes:
        begun = time.monotonic()
        house.grow(size)
        settled()
        crates, machines = house.size
        spent = time.monotonic() - begun
        say(f"{crates:,} crates and {machines:,} machines in {spent:.0f} s")
        found[size] = measured(house, only)
    table(sizes, found)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder, site(folder):
        main([int(one) for one in sys.argv[1:]] or SIZES, os.environ.get("PAGES", ""))
