"""Which database: SQLite in the data folder, or PostgreSQL by its address."""

from pathlib import Path
from typing import Any

import environ
from django.core.exceptions import ImproperlyConfigured

BUSY_SECONDS = 20
CONNECT_SECONDS = 10
KEPT_SECONDS = 60
"""So long a thread that answers requests keeps its connection: on SQLite it reads some
750 tables, indexes and triggers first, which takes longer than a page's own queries."""

LOCK_SECONDS = 20
"""As long as a writer waits on SQLite; then the page says so and keeps what was typed."""

_PRAGMAS = (
    "PRAGMA journal_mode=DELETE",
    "PRAGMA synchronous=EXTRA",
    "PRAGMA foreign_keys=ON",
    "PRAGMA recursive_triggers=ON",
)


def sqlite_database(path: Path | str) -> dict[str, Any]:
    """Return Django's settings for the SQLite file at ``path``.

    Rollback journal with synchronous EXTRA: an answer given after COMMIT survives
    a power cut, and SQLite's WAL-reset fault (before 3.51.3) cannot happen.
    IMMEDIATE transactions: whoever checks and then writes does so alone.
    """
    return {
        "ENGINE": "config.sqlite",
        "NAME": str(path),
        "ATOMIC_REQUESTS": False,
        "CONN_MAX_AGE": KEPT_SECONDS,
        "OPTIONS": {
            "timeout": BUSY_SECONDS,
            "transaction_mode": "IMMEDIATE",
            "init_command": "; ".join(_PRAGMAS),
        },
    }


def database_from(
    url: str, *, default_path: Path, statement_seconds: int = 0
) -> dict[str, Any]:
    """Return Django's settings for ``url``; an empty one means ``default_path``.

    On PostgreSQL every wait for a lock ends, and a statement where
    ``statement_seconds`` is set. JIT is off: it costs more than short queries gain. A
    page is as near as any other, as on every disk without arms: else a few rows are
    joined by reading the whole of a table, and that for as long as it is small.

    Raise ``ImproperlyConfigured`` for any database but SQLite and PostgreSQL.
    """
    if not url:
        return sqlite_database(default_path)
    found = environ.Env.db_url_config(url)
    engine = str(found.get("ENGINE", ""))
    if engine == "django.db.backends.sqlite3":
        return sqlite_database(found["NAME"])
    if engine != "django.db.backends.postgresql":
        raise ImproperlyConfigured(
            "DATABASE_URL must begin with postgres:// or sqlite:///."
        )
    return {
        **found,
        "ATOMIC_REQUESTS": False,
        "CONN_MAX_AGE": KEPT_SECONDS,
        "CONN_HEALTH_CHECKS": True,
        "OPTIONS": _postgresql_options(found.get("OPTIONS", {}), statement_seconds),
    }


def _postgresql_options(
    given: dict[str, Any], statement_seconds: int
) -> dict[str, Any]:
    """Return what each connection asks for; what the address itself says comes last."""
    ours = {
        "jit": "off",
        "random_page_cost": "1.1",
        "lock_timeout": f"{LOCK_SECONDS}s",
    }
    if statement_seconds:
        ours["statement_timeout"] = f"{statement_seconds}s"
    words = [f"-c {name}={value}" for name, value in ours.items()]
    asked = " ".join([*words, str(given.get("options", ""))]).strip()
    return {"connect_timeout": CONNECT_SECONDS, **given, "options": asked}
