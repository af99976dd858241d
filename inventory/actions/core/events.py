"""The only writer of the chain of events."""

from collections.abc import Iterable
from datetime import UTC, datetime
from functools import partial

from django.db import connection, transaction
from django.db.models import Model

from inventory.actions.core.retired import refuse_retired
from inventory.evidence.seal.tiles import keep_filled
from inventory.models import Event, EventSubject, Location, User
from inventory.models.sealed import images_of, rows_after, take_written
from inventory.rules.core import event_kinds
from inventory.rules.evidence import chain
from inventory.security_log import KINDS, told

CHAIN_LOCK = 7_201_370
"""The advisory lock that PostgreSQL's writers of the chain queue for."""


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
    event_kinds.check_kind(kind)
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "An event must be recorded in the transaction of its own act."
        )
    lock_chain()
    written = rows_after(take_written(using=connection.alias))
    refuse_retired(written, actor)
    last = Event.objects.order_by("-sequence").first()
    sequence = last.sequence + 1 if last else 1
    previous = last.hash if last else chain.GENESIS
    about = [[noun_of(row), str(row.pk)] for row in subjects]
    record: dict[str, object] = {
        "sequence": sequence,
        "kind": kind,
        "at": at.astimezone(UTC).isoformat(),
        "actor": actor.pk if actor else None,
        "location": location.pk if location else None,
        "subjects": about,
        "data": data,
        "rows": images_of(written),
        "previous": previous,
    }
    body = chain.canonical_json(record)
    event = Event.objects.create(
        sequence=sequence,
        kind=kind,
        recorded_at=at,
        actor=actor,
        location=location,
        data=data,
        body=body,
        previous_hash=previous,
        hash=chain.hash_of(body),
    )
    EventSubject.objects.bulk_create(
        EventSubject(event=event, noun=noun, key=key) for noun, key in about
    )
    keep_filled(sequence)
    if kind.startswith(KINDS):
        who = actor.get_username() if actor else ""
        line = partial(told, kind, outcome="done", who=who, event=sequence)
        transaction.on_commit(line)
    return event


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
