"""The working program: what must be done beside the pages, lane by lane."""

import logging
import os
import signal
import threading
from argparse import ArgumentParser
from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import uuid4

from django.core.management.base import BaseCommand, CommandError
from django.db import connection, connections
from django.utils import timezone

from claims.actions.desk.morning import send_next_morning
from inventory.actions.evidence import reader
from inventory.actions.mail.beats import beat
from inventory.actions.mail.delivering import deliver_next
from inventory.move_marks import why_not_used
from inventory.queries.mail.beats import BEAT_EVERY

LANES: dict[str, Callable[..., bool]] = {
    "morning": send_next_morning,
    "mail": deliver_next,
}
"""Each lane with the act that does its next piece of work, if there is one."""

IDLE_SECONDS = 2.0
TROUBLE_SECONDS = 10.0
JOIN_SECONDS = 5.0

log = logging.getLogger(__name__)


class Command(BaseCommand):
    """Works until it is stopped; the row in the table is the queue."""

    help = (
        "Send what waits in the outbox, and read photos as they arrive. Runs beside the "
        "server until it is stopped. "
        "With --once: do what is due now and end."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the lanes to work on, and whether to end when nothing is due."""
        parser.add_argument("lanes", nargs="*", choices=[[], *LANES], default=[])
        parser.add_argument("--once", action="store_true")

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Work on the lanes in turn."""
        if said := why_not_used(connection):
            raise CommandError(said)
        lanes, reads = options["lanes"] or list(LANES), not options["lanes"]
        worker = f"{os.uname().nodename[:16]}-{os.getpid()}-{uuid4().hex[:8]}"
        if options["once"]:
            work_once(lanes, worker, reads=reads)
            return
        stopped = threading.Event()
        for one in (signal.SIGTERM, signal.SIGINT):
            signal.signal(one, lambda *_: stopped.set())
        reading = reader.begin(clock=timezone.now, ended=stopped) if reads else None
        beats: dict[str, datetime] = {}
        while not stopped.is_set():
            waits = [look_at(lane, worker, beats) for lane in lanes]
            stopped.wait(0.0 if 0.0 in waits else max(waits))
        if reading is not None:
            reading.join(JOIN_SECONDS)


def work_once(lanes: list[str], worker: str, *, reads: bool) -> None:
    """Do what is due now."""
    if reads:
        reader.read_waiting(clock=timezone.now)
    for lane in lanes:
        while LANES[lane](worker=worker, clock=timezone.now):
            pass


def look_at(lane: str, worker: str, beats: dict[str, datetime]) -> float:
    """Do the next piece of work of a lane; return the seconds it can wait now.

    What one lane cannot do never holds up another. A lane's pulse is noted only after
    it worked, in ``beats`` and in the table, so that one that always fails is seen.
    """
    try:
        is_busy = LANES[lane](worker=worker, clock=timezone.now)
        at = timezone.now()
        if lane not in beats or at - beats[lane] >= BEAT_EVERY:
            beat(lane=lane, at=at)
            beats[lane] = at
    except Exception:  # logged, and tried again
        log.exception("The lane %s could not do its work.", lane)
        connections.close_all()
        return TROUBLE_SECONDS
    return 0.0 if is_busy else IDLE_SECONDS
