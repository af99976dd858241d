"""What happened, told from the chain of events, in time order."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import Model, Q

from inventory.models import Event, EventSubject, Location
from inventory.rules.core.event_kinds import SILENT, sentence, tone


@dataclass(frozen=True)
class StoryItem:
    """One event, with the zone of the dock where it is told.

    ``state`` is "late", "kept" or "": what colour the stamp has.
    """

    sequence: int
    at: datetime
    zone: ZoneInfo
    kind: str
    sentence: str
    who: str
    state: str
    detail: str


def story_of(
    rows: Iterable[Model], location: Location, *, leave_out: tuple[str, ...]
) -> list[StoryItem]:
    """Return the events about any of these rows, each once, the earliest first.

    ``leave_out`` are the beginnings of kinds that the reader may not see: no page
    may forget to say which.
    """
    about = Q()
    for row in rows:
        about |= Q(noun=str(row._meta.model_name), key=str(row.pk))
    if not about:
        return []
    ids = EventSubject.objects.filter(about).values("event_id")
    events = (
        Event.objects.filter(sequence__in=ids)
        .exclude(kind__in=SILENT)
        .select_related("actor")
        .order_by("sequence")
    )
    return [
        _item(event, location.zone)
        for event in events
        if not event.kind.startswith(leave_out)
    ]


def _item(event: Event, zone: ZoneInfo) -> StoryItem:
    proof = event.data.get("proof", "")
    return StoryItem(
        sequence=event.sequence,
        at=event.recorded_at,
        zone=zone,
        kind=event.kind,
        sentence=sentence(event.kind, event.data),
        who=str(event.actor) if event.actor else "The program",
        state=tone(event.kind),
        detail=f"Proof: {proof}" if proof else "",
    )
