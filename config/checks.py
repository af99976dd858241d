"""Start-up checks: what must be true of this machine before it serves anything."""

import importlib.metadata
import logging
from collections.abc import Sequence

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register  # noqa: A004
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor

from config.databases import BUSY_SECONDS
from config.outward import open_ways
from config.roles import is_owner
from inventory.evidence.store.bucket import endpoint
from inventory.evidence.store.home_checks import home_state, wrong_home_settings
from inventory.models import Event
from inventory.move_marks import why_not_used
from inventory.rules.evidence.clock import is_behind
from inventory.search_index import missing_parts
from inventory.triggers import missing_triggers
from inventory.views.core.clock import now

log = logging.getLogger(__name__)

# Decoders before this release write past their buffers on a crafted JPEG.
LEAST_PILLOW = (13, 0, 0)

_PRAGMAS: dict[str, tuple[object, ...]] = {
    "journal_mode": ("delete", "memory"),
    "synchronous": (3,),
    "foreign_keys": (1,),
    "recursive_triggers": (1,),
    "busy_timeout": (BUSY_SECONDS * 1000,),
}


class UnsoundError(RuntimeError):
    """The machine is not fit to serve; the message says why."""


def wrong_pragmas(connection: BaseDatabaseWrapper) -> list[str]:
    """Return one sentence for each SQLite pragma without the required value."""
    if connection.vendor != "sqlite":
        return []
    wrong = []
    with connection.cursor() as cursor:
        for name, allowed in _PRAGMAS.items():
            cursor.execute(f"PRAGMA {name}")
            found = cursor.fetchone()[0]
            if found not in allowed:
                wrong.append(f"SQLite's {name} is {found!r}, not {allowed[0]!r}.")
    return wrong


def unapplied_migrations(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of the migrations not yet applied to this database."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label}.{migration.name}" for migration, _ in plan]


def pillow_is_safe(version: str) -> bool:
    """Return whether Pillow ``version`` is new enough to decode untrusted pictures."""
    numbers = [int(part) for part in version.split(".")[:3] if part.isdigit()]
    return tuple(numbers) >= LEAST_PILLOW


@register(Tags.compatibility)
def check_pillow(**_: object) -> list[CheckMessage]:
    """Refuse a Pillow whose decoders are known to be unsafe."""
    version = importlib.metadata.version("pillow")
    if pillow_is_safe(version):
        return []
    return [
        Error(
            f"Pillow {version} has known faults in the decoder used for every photo.",
            hint="Install the pinned requirements: make setup.",
            id="dock.E001",
        )
    ]


@register(Tags.database)
def check_pragmas(
    *, databases: Sequence[str] | None = None, **_: object
) -> list[CheckMessage]:
    """Read SQLite's pragmas back from each connection."""
    return [
        Error(sentence, id="dock.E002")
        for alias in databases or []
        for sentence in wrong_pragmas(connections[alias])
    ]


@register(Tags.database)
def check_triggers(
    *, databases: Sequence[str] | None = None, **_: object
) -> list[CheckMessage]:
    """Return which append-only triggers are missing.

    A warning, because ``migrate`` runs this too and creates them again; serving
    without them is refused in ``refuse_to_serve_unsound``.
    """
    return [
        Warning(
            f"The trigger {name} is missing, so recorded history could be changed.",
            hint="Run manage.py migrate, which creates it again.",
            id="dock.W001",
        )
        for alias in databases or []
        for name in missing_triggers(connections[alias])
    ]


@register(Tags.database)
def check_search(
    *, databases: Sequence[str] | None = None, **_: object
) -> list[CheckMessage]:
    """Name what this database lacks to find parts of numbers.

    Before its migration is applied that one says so itself; serving without is refused
    in ``refuse_to_serve_unsound``.
    """
    missing: list[CheckMessage] = [
        Warning(sentence, id="dock.W003")
        for alias in databases or []
        for sentence in missing_parts(connections[alias])
    ]
    # Only then: to read the migrations takes longer than everything else here.
    return (
        [] if not missing or unapplied_migrations(connections["default"]) else missing
    )


@register(Tags.database)
def check_move(
    *, databases: Sequence[str] | None = None, **_: object
) -> list[CheckMessage]:
    """Refuse a database into which a move is unfinished, or out of which all went.

    ``migrate`` asks too: it would seal the rows that are there by now.
    """
    said = [why_not_used(connections[alias]) for alias in databases or []]
    return [Error(sentence, id="dock.E005") for sentence in said if sentence]


@register(Tags.files)
def check_evidence_home(**_: object) -> list[CheckMessage]:
    """Read the home of originals back from the settings; asks nobody."""
    return [Error(sentence, id="dock.E003") for sentence in wrong_home_settings()]


@register(Tags.security, deploy=True)
def check_bucket(**_: object) -> list[CheckMessage]:
    """Ask the bucket whether it is there and what it offers: with ``--deploy`` alone."""
    if wrong_home_settings():
        return []
    faults, hints = home_state()
    return [
        *(Error(sentence, id="dock.E004") for sentence in faults),
        *(Warning(sentence, id="dock.W004") for sentence in hints),
    ]


@register(Tags.security, deploy=True)
def check_outward(**_: object) -> list[CheckMessage]:
    """Warn of ways to other machines that a listener could read."""
    return [
        Warning(sentence, id="dock.W005")
        for sentence in open_ways(
            database=settings.DATABASES["default"],
            mail_host=settings.EMAIL_HOST,
            mail_is_locked=settings.EMAIL_USE_TLS,
            bucket=endpoint(),
        )
    ]


def clock_is_behind() -> bool:
    """Return whether this machine's clock stands before the last recorded act."""
    last = Event.objects.order_by("-sequence").values_list("recorded_at", flat=True)
    return is_behind(now(), last.first())


@register(Tags.database)
def check_clock(
    *, databases: Sequence[str] | None = None, **_: object
) -> list[CheckMessage]:
    """Warn where the clock was set back: acts would get moments that are long gone."""
    # The table's columns are those of the first migration, so its name tells enough.
    tables = connections["default"].introspection.table_names() if databases else []
    if Event._meta.db_table not in tables or not clock_is_behind():
        return []
    return [
        Warning(
            "This machine's clock is behind the last recorded act.",
            hint="Set the clock right before anyone records more. The order is kept.",
            id="dock.W002",
        )
    ]


def reasons_not_to_serve(connection: BaseDatabaseWrapper) -> list[str]:
    """Return every reason why this database may not be served; empty where it is sound."""
    reasons = [message.msg for message in check_pillow()]
    reasons += wrong_pragmas(connection)
    reasons += wrong_home_settings() or home_state()[0]
    waiting = unapplied_migrations(connection)
    if waiting:
        return [*reasons, f"Migrations not applied: {', '.join(waiting)}."]
    reasons += missing_parts(connection)
    missing = missing_triggers(connection)
    if missing:
        reasons.append(f"Append-only triggers are missing: {', '.join(missing)}.")
    return reasons


def refuse_to_serve_unsound() -> None:
    """Raise ``UnsoundError`` unless the default database is fit to be served."""
    connection = connections["default"]
    try:
        if said := why_not_used(connection):
            raise UnsoundError(said)
        reasons = reasons_not_to_serve(connection)
        if not reasons and clock_is_behind():
            log.warning(
                "This machine's clock is behind the last recorded act. Set it right."
            )
        if not reasons and is_owner(connection):
            log.warning(
                "This database user owns the tables and could drop their triggers. "
                "See manage.py database_roles."
            )
    finally:
        connection.close()
    if reasons:
        raise UnsoundError(
            " ".join([*reasons, "Run manage.py migrate before you start the server."])
        )
