"""Reading photos as they arrive: one reader on each machine, beside what serves.

Whoever keeps a photo rings; the reader looks at once, and at all photos when it
starts and every hour. So a lost ring, or a reader that was killed, delays a reading
and loses none.
"""

import logging
import os
import secrets
import threading
import time
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, suppress
from datetime import datetime, timedelta
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.db import connections

from inventory.actions.evidence.reading import read_photo, unread_photos
from inventory.evidence.pictures.decoder import Keeper
from inventory.evidence.pictures.renditions import DecoderStoppedError
from inventory.models import Evidence

AT_ONCE = 2
LISTEN_EVERY = 0.1
TRY_EVERY = 2.0
ALL_EVERY = 3600.0
JUST_NOW = timedelta(hours=1)
"""A ring is about a photo received since; older ones wait for the look at all."""

log = logging.getLogger(__name__)

Clock = Callable[[], datetime]


def ring() -> None:
    """Tell the reader that a photo was kept. Call it after the commit."""
    path = _bell()
    with suppress(OSError):
        path.touch()
        os.utime(path, ns=(0, secrets.randbits(60)))  # each ring is another moment


def begin(
    *, clock: Clock, after: float = 0.0, ended: threading.Event | None = None
) -> threading.Thread:
    """Start the thread that reads whenever no other process of the machine does.

    It ends with its process, or when ``ended`` is set. A process that should read
    only where the working program does not begins ``after`` some seconds.
    """
    stop = ended or threading.Event()
    thread = threading.Thread(
        target=_read_on, args=(clock, after, stop), name="reader", daemon=True
    )
    thread.start()
    return thread


def read_waiting(*, clock: Clock) -> None:
    """Read every photo that waits, and return."""
    for key in list(unread_photos().values_list("pk", flat=True)):
        _read_one(key, clock, set())


def _read_on(clock: Clock, after: float, stop: threading.Event) -> None:
    if stop.wait(after):
        return
    with closing(Keeper()) as keeper:
        while not stop.is_set():
            try:
                if keeper.take():
                    _listen(keeper, clock, stop)
            except Exception:  # logged, and tried again
                log.exception("The reader of photos could not do its work.")
                connections.close_all()
            stop.wait(TRY_EVERY)


def _listen(keeper: Keeper, clock: Clock, stop: threading.Event) -> None:
    """Read all that waits, then what is rung for."""
    left: set[UUID] = set()
    heard, looked = -1, -ALL_EVERY
    while not stop.is_set():
        keeper.look_after()
        rung = _last_ring()
        if time.monotonic() - looked >= ALL_EVERY:
            looked, left = time.monotonic(), set()
            waiting = unread_photos()
        elif rung != heard:
            waiting = unread_photos().filter(received_at__gte=clock() - JUST_NOW)
        else:
            stop.wait(LISTEN_EVERY)
            continue
        heard = rung
        _read_all(waiting, clock, left, stop)
        connections.close_all()


def _read_all(
    waiting: "Iterable[Evidence]",
    clock: Clock,
    left: set[UUID],
    stop: threading.Event,
) -> None:
    """Read these photos, two at once, but for those ``left`` before."""

    def read(key: UUID) -> None:
        try:
            if not stop.is_set():
                _read_one(key, clock, left)
        finally:
            connections.close_all()

    keys = [row.pk for row in waiting if row.pk not in left]
    with ThreadPoolExecutor(AT_ONCE) as pool:
        list(pool.map(read, keys))


def _read_one(key: UUID, clock: Clock, left: set[UUID]) -> None:
    """Read one photo, or name it in ``left``: what is wrong with it holds up no other."""
    try:
        photo = Evidence.everything.select_related("original").get(pk=key)
        if read_photo(person=None, at=clock(), evidence=photo) is not None:
            return
        log.error("Original %s is missing or changed.", photo.original_id)
    except DecoderStoppedError:
        log.warning("Photo %s could not be decoded just now.", key)
    except Exception:  # the others are read all the same
        log.exception("Photo %s could not be read.", key)
    left.add(key)


def _bell() -> Path:
    return Path(settings.DATA_DIR) / "photos.bell"


def _last_ring() -> int:
    try:
        return _bell().stat().st_mtime_ns
    except OSError:
        return 0
