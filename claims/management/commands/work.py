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

from django.core.management.base import BaseCommand
from django.db import DatabaseError, connections
from django.utils import timezone

from claims.actions.desk.morning import send_next_morning
from inventory.actions.mail.beats import beat
from inventory.actions.mail.delivering import deliver_next
from inventory.queries.mail.beats import BEAT_EVERY

LANES: dict[str, Callable[..., bool]] = {
    "morning": send_next_morning,
    "mail": deliver_next,
}
"""Each lane with the act that does its next piece of work, if there is one."""

IDLE_SECONDS = 2.0
TROUBLE_SECONDS = 10.0

log = logging.getLogger(__name__)


class Command(BaseCommand):
    """Works until it is stopped; the row in the table is the queue."""

    help = (
        "Send what waits in the outbox. Runs beside the server until it is stopped. "
        "With --once: do what is due now and end."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the lanes to work on, and whether to end when nothing is due."""
        parser.add_argument("lanes", nargs="*", choices=[[], *LANES], default=[])
        parser.add_argument("--once", action="store_true")

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Work on the lanes in turn."""
        lanes = options["lanes"] or list(LANES)
        worker = f"{os.uname().nodename[:16]}-{os.getpid()}-{uuid4().hex[:8]}"
        if options["once"]:
            for lane in lanes:
                while LANES[lane](worker=worker, clock=timezone.now):
                    pass
            return
        stopped = threading.Event()
        for one in (signal.SIGTERM, signal.SIGINT):
            signal.signal(one, lambda *_: stopped.set())
        last: datetime | None = None
        while not stopped.is_set():
            try:
                last = self._beat(lanes, last)
                busy = [
                    LANES[lane](worker=worker, clock=timezone.now) for lane in lanes
                ]
                wait = 0.0 if any(busy) else IDLE_SECONDS
            except (DatabaseError, OSError):
                log.exception("The working program waits for the database or the disk.")
                connections.close_all()
                wait = TROUBLE_SECONDS
            stopped.wait(wait)

    def _beat(self, lanes: list[str], last: datetime | None) -> datetime:
        at = timezone.now()
        if last is not None and at - last < BEAT_EVERY:
            return last
        for lane in lanes:
            beat(lane=lane, at=at)
        return at
