"""The state of the tree over all events, and the proof that the chain holds."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass

from inventory.evidence import store
from inventory.models import Event, EventSubject, Original
from inventory.rules import chain


@dataclass(frozen=True)
class TreeState:
    """How many events the tree holds, and its root in hex (RFC 6962)."""

    size: int
    root: str


def tree_state(size: int | None = None) -> TreeState:
    """Return the tree over the first ``size`` events, or over all of them."""
    hashes = Event.objects.order_by("sequence").values_list("hash", flat=True)
    leaves = [bytes.fromhex(text) for text in (hashes[:size] if size else hashes)]
    return TreeState(len(leaves), chain.tree_root(leaves).hex())


def chain_faults() -> Iterator[str]:
    """Yield a sentence for each event that does not follow from the one before."""
    previous, expected = chain.GENESIS, 1
    subjects: dict[int, list[list[str]]] = {}
    for event_id, noun, key in EventSubject.objects.order_by("pk").values_list(
        "event_id", "noun", "key"
    ):
        subjects.setdefault(event_id, []).append([noun, key])
    for event in Event.objects.order_by("sequence").iterator():
        if event.sequence != expected:
            yield f"Event {expected} is missing; the next one is {event.sequence}."
            expected = event.sequence
        yield from _faults_of(event, previous, subjects.get(event.sequence, []))
        previous, expected = event.hash, expected + 1


def _faults_of(event: Event, previous: str, about: list[list[str]]) -> Iterator[str]:
    if hashlib.sha256(event.body.encode()).hexdigest() != event.hash:
        yield f"Event {event.sequence} no longer has the hash it was sealed with."
        return
    record = json.loads(event.body)
    columns = {
        "sequence": event.sequence,
        "kind": event.kind,
        "actor": event.actor_id,
        "location": event.location_id,
        "subjects": about,
        "data": event.data,
        "previous": event.previous_hash,
    }
    for name, value in columns.items():
        if record[name] != value:
            yield f"Event {event.sequence}: {name} differs from what was sealed."
    if event.previous_hash != previous:
        yield f"Event {event.sequence} does not follow from the event before it."


def original_faults() -> Iterator[str]:
    """Yield a sentence for each original that is missing or has changed."""
    for sha256 in Original.objects.order_by("pk").values_list("pk", flat=True):
        if not store.is_intact(sha256):
            yield f"Original {sha256} is missing or no longer has its hash."
