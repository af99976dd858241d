"""Sweeping at start and every hour, inside the server, without a timer to set up.

Every worker process has its own thread for it, so that sweeping goes on when a
worker dies; of two that sweep at the same moment the second one skips its turn.
"""

import fcntl
import logging
import threading
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.db import connections

from config.sessions import forget_ended
from inventory.evidence.store.sweep import sweep

SECONDS = 60 * 60

log = logging.getLogger(__name__)


def begin(
    *, every: float = SECONDS, ended: threading.Event | None = None
) -> threading.Thread:
    """Start the thread that sweeps now and then every so many seconds.

    It ends with its process, or when ``ended`` is set.
    """
    stop = ended or threading.Event()
    thread = threading.Thread(
        target=_sweep_on, args=(every, stop), name="sweep", daemon=True
    )
    thread.start()
    return thread


def sweep_alone(*, at: datetime) -> bool:
    """Sweep unless another process is sweeping; return whether it was done."""
    path = Path(settings.DATA_DIR) / "sweep.lock"
    with path.open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        sweep(at=at)
        forget_ended(at=at)
    return True


def _sweep_on(every: float, ended: threading.Event) -> None:
    while True:
        try:
            sweep_alone(at=datetime.now(tz=UTC))  # noqa: TID251 - a timer reads the clock
        except Exception:  # the next hour is another try
            log.exception("The sweep failed.")
        finally:
            connections.close_all()
        if ended.wait(every):
            return
