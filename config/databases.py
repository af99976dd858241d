"""Which database: SQLite in the data folder, or PostgreSQL by its address."""

from pathlib import Path
from typing import Any

import environ
from django.core.exceptions import ImproperlyConfigured

BUSY_SECONDS = 20
CONNECT_SECONDS = 10

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
        "OPTIONS": {
            "timeout": BUSY_SECONDS,
            "transaction_mode": "IMMEDIATE",
            "init_command": "; ".join(_PRAGMAS),
        },
    }


def database_from(url: str, *, default_path: Path) -> dict[str, Any]:
    """Return Django's settings for ``url``; an empty one means ``default_path``.

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
        "CONN_MAX_AGE": 60,
        "CONN_HEALTH_CHECKS": True,
        "OPTIONS": {"connect_timeout": CONNECT_SECONDS, **found.get("OPTIONS", {})},
    }
