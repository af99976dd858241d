"""The history: the chain's events as sentences, in time order."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from zoneinfo import ZoneInfo

from django.db.models import Model, Q

from inventory.models import Event, EventSubject, Location
from inventory.rules.core.event_kinds import sentence, silent_kinds, tone
from inventory.rules.reckoning.moments import day_words, dock_day, dock_time


@dataclass(frozen=True)
class StoryItem:
    """One event, with the time zone of its dock.

    ``state`` is "late", "kept" or "": the color of the stamp.
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

    ``leave_out`` are prefixes of the kinds that the reader may not see; every page
    must pass it.
    """
    about = Q()
    for row in rows:
        about |= Q(noun=str(row._meta.model_name), key=str(row.pk))
    if not about:
        return []
    ids = EventSubject.objects.filter(about).values("event_id")
    events = (
        Event.objects.filter(sequence__in=ids)
        .exclude(kind__in=silent_kinds())
        .select_related("actor")
        .order_by("sequence")
    )
    return [
        _item(event, location.zone)
        for event in events
        if not event.kind.startswith(leave_out)
    ]


def changes_of(row: Model, zone: ZoneInfo, most: int = 20) -> list[StoryItem]:
    """Return the last events whose kind is this row's own, the latest first."""
    noun, key = str(row._meta.model_name), str(row.pk)
    events = (
        Event.objects.filter(
            kind__startswith=f"{noun}.", subjects__noun=noun, subjects__key=key
        )
        .select_related("actor")
        .order_by("-sequence")
    )
    return [_item(event, zone) for event in events[:most]]


def last_event(row: Model, kind: str) -> Event | None:
    """Return the last event of this kind about the row."""
    noun, key = str(row._meta.model_name), str(row.pk)
    rows = Event.objects.filter(kind=kind, subjects__noun=noun, subjects__key=key)
    return rows.order_by("-sequence").first()


def sentence_of(event: Event, zone: ZoneInfo) -> str:
    """Return what happened, its days as people read them on the day of the event."""
    recorded_on = dock_day(event.recorded_at, zone)
    return sentence(event.kind, event.data, partial(day_words, today=recorded_on))


def _item(event: Event, zone: ZoneInfo) -> StoryItem:
    return StoryItem(
        sequence=event.sequence,
        at=event.recorded_at,
        zone=zone,
        kind=event.kind,
        sentence=sentence_of(event, zone),
        who=str(event.actor) if event.actor else "Automatic",
        state=tone(event.kind),
        detail=_detail(event, zone),
    )


def _detail(event: Event, zone: ZoneInfo) -> str:
    """Return what the sentence leaves out: the proof, and a tap that waited."""
    proof, tapped = (event.data.get(key, "") for key in ("proof", "tapped_at"))
    if proof:
        return f"Proof: {proof}"
    if not tapped:
        return ""
    when = dock_time(
        datetime.fromisoformat(tapped), zone, dock_day(event.recorded_at, zone)
    )
    return f"Tapped {when}, sent later by the phone."
