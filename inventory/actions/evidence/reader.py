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
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import closing, suppress
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.db import close_old_connections, connections
from django.db.models import QuerySet

from inventory.actions.evidence.reading import decode, seal_readings, unread_photos
from inventory.evidence.pictures.decoder import Keeper
from inventory.evidence.pictures.renditions import Decoded, DecoderStoppedError
from inventory.models import Evidence

AT_ONCE = 2
TOGETHER, SOON = 8, 0.4
"""So many readings are sealed in one transaction, or what is there after so long."""

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
    _read_all(unread_photos(), clock, set(), threading.Event())


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
        close_old_connections()
        _read_all(waiting, clock, left, stop)
        close_old_connections()


def _read_all(
    waiting: "QuerySet[Evidence]",
    clock: Clock,
    left: set[UUID],
    stop: threading.Event,
) -> None:
    """Read these photos, two at once, but for those ``left`` before.

    Their readings are sealed some at a time: the sync of a transaction takes longer
    than what it writes.
    """
    photos = dict(waiting.exclude(pk__in=left).values_list("pk", "original_id"))
    ready: dict[UUID, Decoded] = {}
    with ThreadPoolExecutor(AT_ONCE) as pool:
        running = {pool.submit(decode, photos[key]): key for key in photos}
        sealed = time.monotonic()
        while running:
            done, _ = wait(running, timeout=SOON, return_when=FIRST_COMPLETED)
            ready |= _taken({running.pop(one): one for one in done}, photos, left)
            if stop.is_set():
                pool.shutdown(wait=False, cancel_futures=True)
                running = {one: key for one, key in running.items() if one.running()}
            is_late = time.monotonic() - sealed >= SOON
            if len(ready) >= TOGETHER or is_late or not running:
                _seal_all(ready, clock, left)
                ready, sealed = {}, time.monotonic()


def _taken(
    done: Mapping[UUID, "Future[Decoded | None]"],
    photos: Mapping[UUID, str],
    left: set[UUID],
) -> dict[UUID, Decoded]:
    """Return what was decoded, without the pictures; name the others in ``left``."""
    found = {}
    for key, one in done.items():
        try:
            decoded = one.result()
        except DecoderStoppedError:
            log.warning("Photo %s could not be decoded just now.", key)
        except Exception:  # the others are read all the same
            log.exception("Photo %s could not be read.", key)
        else:
            if decoded is not None:
                found[key] = replace(decoded, pictures=())
                continue
            log.error("Original %s is missing or changed.", photos[key])
        left.add(key)
    return found


def _seal_all(decoded: dict[UUID, Decoded], clock: Clock, left: set[UUID]) -> None:
    """Seal these together; where that fails, each alone: one holds up no other."""
    if not decoded:
        return
    try:
        seal_readings(person=None, at=clock(), decoded=decoded)
    except Exception:
        if len(decoded) > 1:
            for key, one in decoded.items():
                _seal_all({key: one}, clock, left)
            return
        log.exception("Photo %s could not be read.", *decoded)
        left.update(decoded)


def _bell() -> Path:
    return Path(settings.DATA_DIR) / "photos.bell"


def _last_ring() -> int:
    try:
        return _bell().stat().st_mtime_ns
    except OSError:
        return 0
