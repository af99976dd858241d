"""How the house is kept: what waits, what was done last, and what room is left."""

import shutil
from datetime import datetime, timedelta
from pathlib import Path

from django.db.models import Count, Min, QuerySet

from inventory.models import Event, Evidence, OutgoingMail, UpkeepRun
from inventory.queries.mail.beats import pulse_of
from inventory.rules.core.upkeep import Kept, Queue, Run
from inventory.rules.evidence.clock import is_behind
from inventory.rules.mail.life import REFUSED, WAITING

LOOK_BACK = timedelta(days=31)
"""How far back unread photos are looked for; ``verify`` names older ones."""


def how_kept(*, at: datetime, folder: Path, least_free: int) -> Kept:
    """Return how the house stands. Reads what is open, not history."""
    pulse = pulse_of("mail", at)
    moments = Event.objects.values_list("recorded_at", flat=True)
    last = moments.order_by("-sequence").first()
    due = OutgoingMail.objects.filter(state=WAITING, due_from__lte=at)
    unread = Evidence.everything.filter(
        received_at__gte=at - LOOK_BACK,
        original__media_type__startswith="image/",
        readings=None,
    )
    return Kept(
        at=at,
        began_at=moments.order_by("sequence").first() or at,
        seen_at=pulse.last,
        is_stopped=pulse.is_stopped,
        mails=_queue(due, "due_from"),
        refused_mails=OutgoingMail.objects.filter(state=REFUSED).count(),
        photos=_queue(unread, "received_at"),
        runs={row.task: _run(row) for row in UpkeepRun.objects.all()},
        free=shutil.disk_usage(folder).free,
        least_free=least_free,
        is_clock_behind=is_behind(at, last),
    )


def _queue(rows: QuerySet, since: str) -> Queue:  # type: ignore[type-arg]
    return Queue(**rows.aggregate(count=Count("pk"), oldest=Min(since)))


def _run(row: UpkeepRun) -> Run:
    return Run(row.ended_at, row.went_well, row.good_at, row.words)
