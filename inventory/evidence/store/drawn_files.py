"""Documents drawn once, into files in the folder of uploads, which is swept.

One is drawn by a thread of the process that was asked first, and by no other: it holds
a lock on the unfinished file, which ends with it. Every process can tell by the files
alone how far it is, and why it was not drawn. A file that is not asked for again goes
with the next sweep.
"""

import fcntl
import logging
import os
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from django.conf import settings

SAID_EVERY = 0.25
LOOK_EVERY = 0.02
REMEMBERED = 60
"""Seconds for which it is told why a file was not drawn; then it is tried again."""

FAILED = (
    "The PDF could not be made. Nothing was saved. Try again. If it fails again, tell "
    "your administrator: the reason is in the server's log."
)

GONE = "The PDF was made too long ago. Nothing was saved. Try again."

log = logging.getLogger(__name__)

Say = Callable[[str], None]
Draw = Callable[[BinaryIO, Say], str | None]


class NotDrawnYetError(Exception):
    """A document takes longer than a moment. Its words say how far it is."""


class NotDrawnError(Exception):
    """Why a document cannot be drawn; can be shown."""


def say_nothing(_words: str) -> None:
    """Say to nobody how far a document is."""


def drawn(name: str, draw: Draw, *, within: float | None = None) -> BinaryIO | None:
    """Return the finished file of this name, or None while it takes longer than a moment.

    ``draw`` writes into an open file that can be gone back in, says how far it is, and
    may return facts to keep beside the file. It is called in a thread of its own, where
    nobody draws this name now. ``within`` is another moment, in seconds. Raise what
    ``draw`` raises in that moment.
    """
    if (file := finished(name)) is not None:
        return file
    failed: list[Exception] = []
    until = time.monotonic() + (settings.DRAWN_WITHIN if within is None else within)
    is_ours = _begin(name, draw, failed)
    while (file := finished(name)) is None and time.monotonic() < until:
        if failed:
            _take_why(name)
            raise failed[0]
        if not is_ours and not is_being_drawn(name):
            return finished(name)  # it may have ended between the two looks
        time.sleep(LOOK_EVERY)
    return file


def drawn_now(name: str, draw: Draw, *, within: float | None = None) -> BinaryIO:
    """Return the finished file of this name, for a page or an act that needs it.

    Raise NotDrawnYetError while it takes longer than a moment, and NotDrawnError,
    once, where it was begun earlier and could not be drawn.
    """
    _tell_why(name)
    if file := drawn(name, draw, within=within):
        return file
    raise NotDrawnYetError(how_far(name))


def finished(name: str) -> BinaryIO | None:
    """Return the file of this name where it is drawn to its end."""
    try:
        return _path(name, "pdf").open("rb")
    except FileNotFoundError:
        return None


def is_being_drawn(name: str) -> bool:
    """Return whether some process draws the file of this name now."""
    try:
        with _path(name, "part").open("rb") as part:
            fcntl.flock(part, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except FileNotFoundError:
        return False
    return False


def how_far(name: str) -> str:
    """Return what was last said of the file that is being drawn."""
    with suppress(OSError):
        return _path(name, "said").read_text(encoding="utf-8")
    return ""


def far_or_none(name: str) -> str | None:
    """Return how far the file of this name is; None where nobody draws it now."""
    return how_far(name) if is_being_drawn(name) else None


def facts_of(name: str) -> str:
    """Return the facts that were kept beside a finished file.

    Raise NotDrawnError where the sweep takes them away in this moment.
    """
    try:
        return _path(name, "facts").read_text(encoding="utf-8")
    except FileNotFoundError:
        forget(name)
        raise NotDrawnError(GONE) from None


def forget(name: str) -> None:
    """Remove the finished file of this name, if there is one."""
    for suffix in ("pdf", "facts"):
        _path(name, suffix).unlink(missing_ok=True)


def _tell_why(name: str) -> None:
    """Raise NotDrawnError, once, where this file could not be drawn just now."""
    if (why := _take_why(name)) and not _path(name, "pdf").exists():
        raise NotDrawnError(why)


def _take_why(name: str) -> str:
    """Return why this file was not drawn, and forget it; "" where nothing is known."""
    path = _path(name, "why")
    with suppress(OSError):
        is_new = time.time() - path.stat().st_mtime < REMEMBERED
        why = path.read_text(encoding="utf-8")
        path.unlink()
        return why if is_new else ""
    return ""


def _begin(name: str, draw: Draw, failed: list[Exception]) -> bool:
    """Start the thread that draws; False where the file is there, or is being drawn."""
    part = _path(name, "part").open("a+b")
    try:
        fcntl.flock(part, fcntl.LOCK_EX | fcntl.LOCK_NB)
        is_ours = os.fstat(part.fileno()).st_ino == _path(name, "part").stat().st_ino
    except (BlockingIOError, FileNotFoundError):
        is_ours = False
    if is_ours and not _path(name, "pdf").exists():
        threading.Thread(
            target=_draw, args=(name, part, draw, failed), name="drawing", daemon=True
        ).start()
        return True
    if is_ours:  # else someone draws it, or has just given it its final name
        _path(name, "part").unlink()
    part.close()
    return False


def _draw(name: str, part: BinaryIO, draw: Draw, failed: list[Exception]) -> None:
    said = 0.0

    def say(words: str) -> None:
        nonlocal said
        if time.monotonic() - said >= SAID_EVERY:
            said = time.monotonic()
            _path(name, "said").write_text(words, encoding="utf-8")

    with part:  # closing it ends the lock
        try:
            part.truncate(0)
            facts = draw(part, say)
            if facts is not None:
                _write(_path(name, "facts"), facts)
            part.flush()
            # Else a power cut may leave its final name with half of it.
            os.fsync(part.fileno())
            _path(name, "part").replace(_path(name, "pdf"))
        except Exception as error:
            log.exception("The file %s could not be drawn.", name)
            # Before the lock ends: whoever sees that nobody draws it finds the reason.
            with suppress(OSError):
                why = str(error) if isinstance(error, NotDrawnError) else FAILED
                _write(_path(name, "why"), why)
            failed.append(error)
            _path(name, "part").unlink(missing_ok=True)
        finally:
            _path(name, "said").unlink(missing_ok=True)


def _write(path: Path, words: str) -> None:
    """Write it whole under its final name: who reads it never finds the half."""
    beside = path.with_name(f"{path.name}.part")
    with beside.open("w", encoding="utf-8") as file:
        file.write(words)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)


def _path(name: str, suffix: str) -> Path:
    return Path(settings.FILE_UPLOAD_TEMP_DIR) / f"drawn-{name}.{suffix}"
