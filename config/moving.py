"""Copying the whole house into another database, SQLite or PostgreSQL, keys unchanged.

Killed at any point, it goes on from there. Meanwhile triggers and foreign keys of the
other database are down, and a table of marks tells everybody that it is unfinished.
Then every row is read back and compared, keys and triggers stand again, what is derived
is computed anew, and ``verify`` has the last word.
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.db import DatabaseError, OperationalError, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import QuerySet

from config.checks import unapplied_migrations
from config.databases import database_from
from config.moving_keys import MADE_BY_MIGRATIONS, loosen, tighten
from config.moving_rows import (
    SOURCE,
    TARGET,
    HouseMoveError,
    Told,
    all_models,
    copied_models,
    copy_all,
    execute,
)
from inventory.evidence.pictures import decoder
from inventory.evidence.seal.register import TreeState, hashed_anew
from inventory.models import Event
from inventory.move_marks import (
    MOVED_TO,
    TABLE,
    begin_marks,
    end_marks,
    marks,
    why_not_used,
)
from inventory.searched import PARTS

_OTHERS = """
SELECT COUNT(*) FROM pg_stat_activity WHERE datname = current_database()
AND backend_type = 'client backend' AND pid <> pg_backend_pid()
"""


@dataclass(frozen=True)
class Asked:
    """Where to, on which day; whether ``verify`` leaves the originals out.

    With ``close`` the program refuses to work with the former database from then on.
    """

    url: str
    day: str
    rows_only: bool = False
    close: bool = True


@dataclass(frozen=True)
class MovedHouse:
    """The tree of events here and there, and how many rows were copied and compared."""

    here: TreeState
    there: TreeState
    rows: int


def move_house(asked: Asked, told: Told) -> MovedHouse:
    """Copy every row to the database at this address, and verify it there.

    The site must be stopped; nobody can write to the former database meanwhile.
    ``told`` is given sentences of progress, and what ``verify`` says. Raise
    HouseMoveError.
    """
    with _opened(asked.url) as target:
        try:
            return _move(target, asked, told)
        except (DatabaseError, ValueError) as error:
            raise HouseMoveError(
                f"The database says: {str(error).strip()} The move is not finished. See "
                "to it, then run this again."
            ) from error


def _move(target: BaseDatabaseWrapper, asked: Asked, told: Told) -> MovedHouse:
    source = connections[SOURCE]
    _require_ready(source, target)
    if not marks(target):
        _require_empty(target)
        if unapplied_migrations(target):
            _run(asked.url, "migrate", "--no-input", "--verbosity", "0", told=told)
    with _held(source):
        loosen(_first_event())
        _tell_unknown(source, told)
        models = list(copied_models())
        rows = copy_all(models, told)
        tighten(models)
        here, there = (hashed_anew(using=one)[0] for one in (SOURCE, TARGET))
        if here != there:
            raise HouseMoveError(f"The roots differ: {here} here, {there} there.")
        _verify(asked, told)
        if asked.close and not marks(source):
            begin_marks(source, {MOVED_TO: f"{_name(target)} on {asked.day}"})
    end_marks(target)
    return MovedHouse(here, there, rows)


@contextmanager
def _opened(url: str) -> Iterator[BaseDatabaseWrapper]:
    try:
        found = database_from(url or "none:", default_path=Path())
    except (ImproperlyConfigured, ValueError, KeyError) as error:
        raise HouseMoveError(
            "The address must begin with postgres:// or sqlite:///. Nothing was copied."
        ) from error
    whole = connections.configure_settings({SOURCE: found})[SOURCE]
    connections.databases[TARGET] = whole
    target = connections[TARGET]
    try:
        try:
            target.ensure_connection()
        except DatabaseError as error:
            raise HouseMoveError(
                f"The other database does not answer: {str(error).strip()} Nothing was "
                "copied."
            ) from error
        target.disable_constraint_checking()  # SQLite's; PostgreSQL's are taken down
        yield target
    finally:
        target.close()
        del connections[TARGET], connections.databases[TARGET]


# -- may it be moved ---------------------------------------------------------------


def _require_ready(source: BaseDatabaseWrapper, target: BaseDatabaseWrapper) -> None:
    if _name(source) == _name(target):
        raise HouseMoveError("The house is there already. Nothing was copied.")
    went = marks(source).get(MOVED_TO, "").rpartition(" on ")[0]
    if why_not_used(source) and not (went == _name(target) and marks(target)):
        raise HouseMoveError(f"{why_not_used(source)} Nothing was copied.")
    if MOVED_TO in marks(target):
        raise HouseMoveError(
            f"The house in {_name(target)} was moved away, and is kept as it is. Nothing "
            "was copied. Name an empty database."
        )
    for one in (source, target):
        waiting = unapplied_migrations(one)
        if waiting and (one is source or marks(one)):
            raise HouseMoveError(
                f"Migrations are not applied to {_name(one)}: {', '.join(waiting)}. "
                "Nothing was copied. Run manage.py migrate, or begin anew with an empty "
                "database."
            )
    others = _others(source)
    if decoder.is_kept() or others:
        whose = f" ({others} other connections are open)" if others else ""
        raise HouseMoveError(
            f"The site or its working program is running{whose}. Nothing was copied. "
            "Stop both, then run this again."
        )


def _others(source: BaseDatabaseWrapper) -> int:
    if source.vendor != "postgresql":
        return 0
    with source.cursor() as cursor:
        cursor.execute(_OTHERS)
        return int(cursor.fetchone()[0])


def _require_empty(target: BaseDatabaseWrapper) -> None:
    """Raise HouseMoveError where the other database holds anything of anybody's."""
    tables = set(target.introspection.table_names())
    if tables and "django_migrations" not in tables:
        raise HouseMoveError(
            f"{_name(target)} holds tables of another program. Nothing was copied. Name "
            "an empty database."
        )
    known = {model._meta.db_table for model in all_models()}
    with target.cursor() as cursor:
        for table in sorted((tables & known).difference(MADE_BY_MIGRATIONS)):
            cursor.execute(f'SELECT 1 FROM "{table}" LIMIT 1')  # noqa: S608
            if cursor.fetchone():
                raise HouseMoveError(
                    f"There is a house in {_name(target)} already: {table} has rows. "
                    "Nothing was copied, because nothing is ever overwritten. Name an "
                    "empty database."
                )


def _name(connection: BaseDatabaseWrapper) -> str:
    """Return what a person may read of the address: no user, no password."""
    found = connection.settings_dict
    if connection.vendor == "sqlite":
        return str(Path(found["NAME"]).resolve())
    return f"{found['HOST'] or 'localhost'}:{found['PORT'] or 5432}/{found['NAME']}"


@contextmanager
def _held(source: BaseDatabaseWrapper) -> Iterator[None]:
    """Let nobody write here until the end. On SQLite the transaction does."""
    tables = ", ".join(f'"{one._meta.db_table}"' for one in all_models())
    with ExitStack() as held:
        try:
            held.enter_context(transaction.atomic(using=SOURCE))
            if source.vendor == "postgresql":
                execute(source, f"LOCK TABLE {tables} IN SHARE ROW EXCLUSIVE MODE")
        except OperationalError as error:
            raise HouseMoveError(
                "Somebody is writing to this database. Nothing was copied. Stop the "
                "site and its working program, then run this again."
            ) from error
        yield


def _first_event() -> str:
    """Return what tells this house from every other."""
    events: QuerySet[Event] = QuerySet(Event, using=SOURCE)
    first = events.order_by("sequence").values_list("hash", flat=True).first()
    return first or "a house without events"


def _tell_unknown(source: BaseDatabaseWrapper, told: Told) -> None:
    """Name the tables that stay behind: a former version's, or somebody else's."""
    known = {one._meta.db_table for one in all_models()}
    known |= {"django_migrations", TABLE}
    found = sorted(set(source.introspection.table_names()) - known)
    others = [one for one in found if not one.startswith(PARTS)]
    if others:
        told(f"Not copied, for the program knows nothing of them: {', '.join(others)}.")


# -- the proof ---------------------------------------------------------------------


def _verify(asked: Asked, told: Told) -> None:
    try:
        words = ["--rows-only"] if asked.rows_only else []
        _run(asked.url, "verify", *words, told=told)
    except HouseMoveError as error:
        raise HouseMoveError(
            "Every row was copied as it is, and verify finds faults in it. The move is "
            "not finished. Run verify here, see to what it names, and run this again."
        ) from error


def _run(url: str, *words: str, told: Told) -> None:
    """Run a command of ours on the other database, and pass on what it says."""
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, str(settings.BASE_DIR / "manage.py"), *words],
        env={**os.environ, "DATABASE_URL": url},
        capture_output=True,
        text=True,
        check=False,
    )
    for line in done.stdout.splitlines():
        told(line)
    if done.returncode:
        raise HouseMoveError(
            f"manage.py {words[0]} on the other database: {done.stderr.strip()[-1000:]}"
        )
