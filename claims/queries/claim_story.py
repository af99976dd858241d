"""What happened, told from the chain of events, in time order."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import Model, Q

from inventory.models import Event, EventSubject, Location
from inventory.rules.event_kinds import sentence

_LATE = ("claim.disallowed", "claim.withdrawn")
_KEPT = ("claim.received", "claim.settled", "notice.received", "deadline.met")
_SILENT = ("deadlines.counted",)
"""Counts are kept in the chain; a story would drown in them."""


@dataclass(frozen=True)
class StoryItem:
    """One event: ``at`` is the dock's own clock, without a zone."""

    sequence: int
    at: datetime
    kind: str
    sentence: str
    who: str
    state: str
    detail: str


def story_of(rows: Iterable[Model], location: Location) -> list[StoryItem]:
    """Return the events about any of these rows, each once, the earliest first."""
    zone = ZoneInfo(location.time_zone)
    about = Q()
    for row in rows:
        about |= Q(noun=str(row._meta.model_name), key=str(row.pk))
    if not about:
        return []
    ids = EventSubject.objects.filter(about).values("event_id")
    events = (
        Event.objects.filter(sequence__in=ids)
        .exclude(kind__in=_SILENT)
        .select_related("actor")
        .order_by("sequence")
    )
    return [_item(event, zone) for event in events]


def _item(event: Event, zone: ZoneInfo) -> StoryItem:
    kind, data = event.kind, event.data
    state = "late" if kind in _LATE else "kept" if kind in _KEPT else ""
    proof = data.get("proof", "")
    return StoryItem(
        sequence=event.sequence,
        at=event.recorded_at.astimezone(zone).replace(tzinfo=None),
        kind=kind,
        sentence=sentence(kind, data),
        who=str(event.actor) if event.actor else "",
        state=state,
        detail=f"Proof: {proof}" if proof else "",
    )
