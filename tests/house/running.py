"""Run the program as a stranger would: a process of its own, an environment of its own."""

import os
from pathlib import Path

from tests import starters

ROOT = Path(__file__).resolve().parents[2]
# What the settings read; a test names what it wants of it, and nothing leaks in.
_READ_BY_SETTINGS = {
    "ALLOWED_HOSTS",
    "DATABASE_URL",
    "DEBUG",
    "DJANGO_SETTINGS_MODULE",
    "DOCK_DATA_DIR",
    "MIN_FREE_BYTES",
    "SECRET_KEY",
}


def run_python(*arguments, data_dir, **environment):
    """Run Python on ``arguments`` in the project's folder and return how it ended."""
    kept = {k: v for k, v in os.environ.items() if k not in _READ_BY_SETTINGS}
    env = {**kept, "DOCK_DATA_DIR": str(data_dir), **environment}
    return starters.run(arguments, env, timeout=120)
