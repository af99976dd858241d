"""Make a house with records of every kind, as this version of the code keeps it.

Each version leaves one behind for the next to open. Before the version number goes
up, from the top of a clean tree::

    .venv/bin/python -m tests.upgrade.make_house tests/upgrade/houses/0.3.0

This migrates an empty SQLite database in a folder of its own, tells the demo story
and the stories of ``more_*.py`` at one fixed moment through the real actions, says
which kinds and states are still missing, and writes

- ``NAME.sql.gz``: the whole database as SQL, without its triggers (those are made
  by the migration that follows, as on any upgrade);
- ``NAME.files.zip``: every original, and half of the packet files.

Then name the new house in ``tests/upgrade/houses/__init__.py``. A house is never made
again by later code. When a kind of record is added, add its story to ``more_*.py``.
The photos are drawn 48 pixels wide, so that a house weighs some hundred kilobytes.
"""

import gzip
import os
import re
import sqlite3
import sys
import tempfile
import zipfile
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

NOW = datetime(2026, 11, 24, 20, 0, tzinfo=UTC)
"""The moment at which the stories are told: a Tuesday afternoon at the dock."""


def main(target):
    """Make the house in a folder of its own and write its two files."""
    with tempfile.TemporaryDirectory(prefix="dock-house-") as folder:
        os.environ.pop("DATABASE_URL", None)
        os.environ["DOCK_DATA_DIR"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
        import django

        django.setup()
        _tell()
        from django.db import connection

        connection.close()
        for line in missing(Path(folder)):
            sys.stdout.write(f"Missing: {line}\n")
        target.parent.mkdir(parents=True, exist_ok=True)
        write_sql(Path(folder), target.with_name(f"{target.name}.sql.gz"))
        write_files(Path(folder), target.with_name(f"{target.name}.files.zip"))


def _tell():
    from django.conf import settings
    from django.core.management import call_command
    from django.db import transaction

    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    call_command("migrate", verbosity=0)
    _draw_small()
    from fixtures.story import tell_story
    from fixtures.teller import Teller
    from tests.upgrade.more_arrivals import tell_more_arrivals
    from tests.upgrade.more_claims import tell_more_claims
    from tests.upgrade.more_lists import tell_more_lists
    from tests.upgrade.more_mail import tell_more_mail
    from tests.upgrade.more_people import tell_more_people
    from tests.upgrade.more_returns import tell_more_returns
    from tests.upgrade.more_setups import tell_more_setups
    from tests.upgrade.more_trucks import tell_test_truck

    with transaction.atomic():
        cast = tell_story(NOW)
    teller = Teller(cast, cast.northgate, NOW)
    teller._pictures = 400  # the demo's own photos stand before
    tell_more_claims(teller)
    tell_more_returns(teller)
    tell_more_people(teller)
    tell_more_lists(teller)
    tell_more_setups(teller)
    tell_more_arrivals(teller)
    tell_more_mail(teller)
    tell_test_truck(teller)


def _draw_small():
    """Let the stories draw photos of 48 pixels instead of 1600."""
    from fixtures import pictures, returns_story, teller

    draw = pictures.draw

    def small(*words, **more):
        return draw(*words, **{**more, "size": (48, 36)})

    teller.draw = returns_story.draw = small


def missing(folder):
    """Return what the house in this folder lacks, one a line."""
    from tests.upgrade.lacking import lacking

    with closing(sqlite3.connect(folder / "db.sqlite3")) as file:
        return list(lacking(file))


_ABOUT = re.compile(r"""(?:INSERT INTO|CREATE TABLE) ["'](\w+)""")


def dumped(file):
    """Yield the statements that make the database anew, without triggers.

    ``iterdump`` writes a full-text table as rows of the schema's own table, which no
    connection reads back, and without the keys of its texts. So it is made by its own
    statement, and filled from the table that has the texts.
    """
    texts = dict(
        file.execute(
            "SELECT name, sql FROM sqlite_master WHERE sql LIKE 'CREATE VIRTUAL TABLE%'"
        )
    )
    passed_over = ("CREATE TRIGGER", "PRAGMA writable_schema", "INSERT INTO sqlite_ma")
    for line in file.iterdump():
        about = _ABOUT.match(line)
        is_text = about and about[1].startswith(tuple(texts))
        if line == "COMMIT;":
            yield from (f"{sql};" for sql in texts.values())
            for name in texts:
                yield f"INSERT INTO {name}({name}) VALUES('rebuild');"
        if not (is_text or line.startswith(passed_over)):
            yield line


def write_sql(folder, target):
    """Write the database as SQL, the same bytes for the same rows."""
    with closing(sqlite3.connect(folder / "db.sqlite3")) as file:
        lines = list(dumped(file))
    with (
        target.open("wb") as out,
        gzip.GzipFile(filename="", mode="wb", fileobj=out, mtime=0) as packed,
    ):
        packed.write("\n".join(lines).encode())


def write_files(folder, target):
    """Write every original, and every second packet file: the others are lost."""
    packets = sorted((folder / "packets").glob("*.pdf"))
    originals = sorted(
        path for path in (folder / "originals").glob("??/*") if path.is_file()
    )
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as packed:
        for path in (*originals, *packets[::2]):
            name = zipfile.ZipInfo(path.relative_to(folder).as_posix())
            packed.writestr(name, path.read_bytes(), zipfile.ZIP_DEFLATED)


if __name__ == "__main__":
    main(Path(sys.argv[1]).absolute())
