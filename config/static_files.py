"""Stylesheets, scripts and pictures: hashed names, packed, kept for a year.

Django gives each file a name that holds the hash of its bytes, and rewrites ``url()``
and module imports to those names; WhiteNoise packs them and serves them. They are
collected where the app is served and where it is tested, whenever one has changed.
"""

import fcntl
import hashlib
import json
from collections.abc import Iterator
from pathlib import Path

from django import get_version
from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from whitenoise.middleware import WhiteNoiseMiddleware
from whitenoise.storage import CompressedManifestStaticFilesStorage

LEFT_OUT = ["README.md"]


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Files by hashed names, imports between ``.mjs`` modules rewritten too."""

    support_js_module_import_aggregation = True

    def __init__(self, *args: object, **options: object) -> None:
        """Learn that ``.mjs`` is a module: Django's own patterns name ``.js`` only."""
        _, imports = self._js_module_import_aggregation_patterns
        self.patterns = (*self.patterns, ("*.mjs", imports))  # type: ignore[has-type]
        super().__init__(*args, **options)


class StaticFilesMiddleware(WhiteNoiseMiddleware):  # type: ignore[misc]
    """Serve what was collected; a hashed name may be kept for a year."""

    FOREVER = 365 * 24 * 60 * 60


def collect_when_changed() -> bool:
    """Collect the files unless that was done since the last change; say whether it was.

    Processes that start together wait for the first one.
    """
    home = Path(settings.STATIC_HOME)
    wanted = _fingerprint()
    if _collected(home) == wanted:
        return False
    home.mkdir(parents=True, exist_ok=True)
    with (home / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if _collected(home) == wanted:
            return False
        call_command(
            "collectstatic", interactive=False, verbosity=0, ignore_patterns=LEFT_OUT
        )
        unfinished = home / "collected.new"
        unfinished.write_text(wanted, encoding="utf-8")
        unfinished.replace(home / "collected")
    return True


def _collected(home: Path) -> str:
    try:
        return (home / "collected").read_text(encoding="utf-8")
    except FileNotFoundError:
        return ""


def _fingerprint() -> str:
    """Return a hash over name, size and time of every file, and of this code."""
    kept = [get_version(), *_times([Path(__file__)]), *_times(_sources())]
    return hashlib.sha256(json.dumps(kept).encode()).hexdigest()


def _sources() -> Iterator[Path]:
    for finder in get_finders():
        for name, storage in finder.list(LEFT_OUT):
            yield Path(storage.path(name))


def _times(paths: "Iterator[Path] | list[Path]") -> list[tuple[str, int, int]]:
    stats = sorted((str(path), path.stat()) for path in paths)
    return [(name, stat.st_size, stat.st_mtime_ns) for name, stat in stats]
