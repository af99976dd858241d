"""The only writer of the chain of events."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial

from django.db import connection, transaction
from django.db.models import Model

from inventory.actions.core.retired import refuse_retired
from inventory.evidence.seal.tiles import keep_filled
from inventory.models import Event, EventSubject, Location, User
from inventory.models.sealed import Rows, images_of, rows_after, take_written
from inventory.rules.core import event_kinds
from inventory.rules.evidence import chain
from inventory.security_log import KINDS, told

CHAIN_LOCK = 7_201_370
"""The advisory lock that PostgreSQL's writers of the chain queue for."""


@dataclass(frozen=True)
class Part:
    """What one of several events of a transaction tells, and the rows written for it."""

    kind: str
    location: Location | None
    subjects: Iterable[Model]
    data: dict[str, object]
    rows: Iterable[Model] = ()


def record_event(
    *,
    kind: str,
    at: datetime,
    actor: User | None,
    location: Location | None,
    subjects: Iterable[Model],
    data: dict[str, object],
) -> Event:
    """Append one event to the chain, in the caller's transaction.

    ``data`` fills the kind's sentence. The record also holds the image of every
    sealed row that was written since the transaction's last event. Call it last in
    a transaction: the chain's lock comes after every other. Raise RefusedError where
    a written row names one that was retired meanwhile, TransactionManagementError
    outside a transaction, and UnknownEventKindError for a kind that is not registered.
    """
    part = Part(kind, location, subjects, data)
    return record_events(at=at, actor=actor, parts=[part])[0]


def record_events(
    *, at: datetime, actor: User | None, parts: Sequence[Part]
) -> list[Event]:
    """Append an event for each part, where an act writes for many at once.

    The events are those of `record_event`, called after the writes of each part. The
    first one also holds each row that was written before and that no part names.
    """
    if not parts:
        return []
    for part in parts:
        event_kinds.check_kind(part.kind)
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "An event must be recorded in the transaction of its own act."
        )
    lock_chain()
    written = rows_after(take_written(using=connection.alias))
    refuse_retired(written, actor)
    later = [(part, _taken(part, written)) for part in parts[1:]]
    return _append(at, actor, [(parts[0], written), *later])


def _taken(part: Part, written: Rows) -> Rows:
    """Take this part's rows out of those written."""
    found: Rows = {}
    for row in part.rows:
        by_key = written.get(type(row), {})
        if row.pk in by_key:
            found.setdefault(type(row), {})[row.pk] = by_key.pop(row.pk)
    return found


def _append(
    at: datetime, actor: User | None, parts: Iterable[tuple[Part, Rows]]
) -> list[Event]:
    last = Event.objects.order_by("-sequence").first()
    sequence, previous = (last.sequence, last.hash) if last else (0, chain.GENESIS)
    events: list[Event] = []
    subjects: list[EventSubject] = []
    for part, written in parts:
        sequence += 1
        about = [[noun_of(row), str(row.pk)] for row in part.subjects]
        record: dict[str, object] = {
            "sequence": sequence,
            "kind": part.kind,
            "at": at.astimezone(UTC).isoformat(),
            "actor": actor.pk if actor else None,
            "location": part.location.pk if part.location else None,
            "subjects": about,
            "data": part.data,
            "rows": images_of(written),
            "previous": previous,
        }
        body = chain.canonical_json(record)
        event = Event(
            sequence=sequence,
            kind=part.kind,
            recorded_at=at,
            actor=actor,
            location=part.location,
            data=part.data,
            body=body,
            previous_hash=previous,
            hash=chain.hash_of(body),
        )
        previous = event.hash
        events.append(event)
        subjects += [
            EventSubject(event=event, noun=noun, key=key) for noun, key in about
        ]
    Event.objects.bulk_create(events)
    EventSubject.objects.bulk_create(subjects)
    for event in events:
        keep_filled(event.sequence)
        _tell_reviewers(event, actor)
    return events


def _tell_reviewers(event: Event, actor: User | None) -> None:
    """Write a line in the security log once it is committed, where the kind asks it."""
    if event.kind.startswith(KINDS):
        who = actor.get_username() if actor else ""
        line = partial(told, event.kind, outcome="done", who=who, event=event.sequence)
        transaction.on_commit(line)


def waited(*, at: datetime, tapped: datetime | None) -> dict[str, object]:
    """Return when a form was tapped, for the event's data, where it waited on a phone."""
    return {"tapped_at": tapped.isoformat()} if tapped not in {None, at} else {}


def noun_of(row: Model) -> str:
    """Return the noun by which events name this kind of row."""
    return str(row._meta.model_name)


def lock_chain() -> None:
    """Queue for the chain; it is held until the transaction ends.

    Who holds it sees all that other acts wrote before, and nobody writes an event
    meanwhile. SQLite's writer gate has already done so.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [CHAIN_LOCK])
