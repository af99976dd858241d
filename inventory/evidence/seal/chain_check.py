"""Walking the chain: every event follows from the one before and is as sealed."""

import hashlib
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from inventory.evidence.seal.snapshots import Snapshot, columns_of
from inventory.evidence.seal.stored_values import full_json
from inventory.models import Event, EventSubject
from inventory.rules.evidence import chain
from inventory.rules.evidence.clock import CLOCK_MAY_DIFFER
from inventory.rules.evidence.row_images import Scalar

COLUMNS = (
    "sequence",
    "kind",
    "recorded_at",
    "actor",
    "location",
    "data",
    "body",
    "previous_hash",
    "hash",
)
SUBJECT_COLUMNS = ("id", "event", "noun", "key")
FIRST_SEAL = "rows.sealed"
"""The kind of event that sealed the rows older than images."""

Found = dict[str, Scalar]
Told = Callable[[int, list[list[object]]], None]


@dataclass
class Clock:
    """Where the machine's clock went back. The order of events is that of their numbers."""

    latest: datetime | None = None
    went_back: int = 0
    first: str = ""

    def see(self, number: int, at: str) -> None:
        """Compare an event's moment with the latest before it."""
        try:
            moment = datetime.fromisoformat(at)
        except ValueError:
            return
        before = self.latest or moment
        if before - moment > CLOCK_MAY_DIFFER:
            self.went_back += 1
            self.first = self.first or f"event {number}, by {before - moment}"
            before = moment  # told once, not for every event after it
        self.latest = max(before, moment)


@dataclass
class Walk:
    """What is asked on the way along the chain, and what was learnt.

    ``tell`` hears each event's number and the rows it holds images of; ``sizes`` are
    sizes of the tree whose root is wanted, and ``roots`` tells them.
    """

    tell: Told
    sizes: frozenset[int] = frozenset()
    tree: chain.GrowingTree = field(default_factory=chain.GrowingTree)
    roots: dict[int, str] = field(default_factory=dict)
    has_old_rows: bool = False
    """Some events are from before images, and their rows were not sealed since."""
    clock: Clock = field(default_factory=Clock)


def walk_chain(snapshot: Snapshot, walk: Walk) -> Iterator[str]:
    """Yield a sentence for each event that is not as it was sealed, in order."""
    subjects = _Subjects(snapshot)
    previous, expected = chain.GENESIS, 1
    for values in snapshot.rows(Event, columns_of(Event, COLUMNS)):
        number = values[0]
        if not isinstance(number, int):
            yield f"Event {expected} has no number that can be read."
            number = expected
        if number != expected:
            yield f"Event {expected} is missing; the next one is {number}."
        about = subjects.of(number)
        if not _is_as_sealed(values, previous, about, walk):
            event = dict(zip(COLUMNS, values, strict=True))
            yield from _faults_of(event, previous, about, walk)
        previous, expected = str(values[-1]), number + 1
        _grow(walk, previous)
    yield from subjects.faults()


def _grow(walk: Walk, sealed: str) -> None:
    walk.tree.add(chain.leaf_data(sealed))
    if walk.tree.size in walk.sizes:
        walk.roots[walk.tree.size] = walk.tree.root().hex()


def _is_as_sealed(
    values: tuple[Scalar, ...], previous: str, about: list[list[str]], walk: Walk
) -> bool:
    """Tell an event that is in every byte what its columns say; False decides nothing.

    The text that the columns would seal is made anew around its images, which alone are
    read. ``_faults_of`` names what differs, and knows the events from before images.
    """
    number, kind, at, actor, location, data, body, before, sealed = values
    if type(body) is not str or type(kind) is not str or type(at) is not str:
        return False
    if before != previous or type(data) is not str:
        return False
    text = body.encode("utf-8", "surrogateescape")
    if hashlib.sha256(text).hexdigest() != sealed or not _HASH(previous):
        return False
    head = (
        f'{{"actor":{_number(actor)},"at":"{at}","data":{data},"kind":{full_json(kind)},'
        f'"location":{_number(location)},"previous":"{previous}","rows":'
    )
    tail = f',"sequence":{number},"subjects":{full_json(about)}}}'
    if not (body.startswith(head) and body.endswith(tail)):
        return False
    rows, end = _read_value(body, len(head))
    if end != len(body) - len(tail) or not isinstance(rows, list):
        return False
    if kind == FIRST_SEAL:
        walk.has_old_rows = False
    walk.clock.see(int(str(number)), at)
    walk.tell(int(str(number)), rows)
    return True


_HASH = re.compile("[0-9a-f]{64}").fullmatch
_DECODER = json.JSONDecoder()


def _number(value: Scalar) -> str:
    return "null" if value is None else str(value)


def _read_value(text: str, start: int) -> tuple[object, int]:
    """Return the JSON value that begins here, and where it ends; -1 where none does."""
    try:
        return _DECODER.raw_decode(text, start)
    except (ValueError, RecursionError):
        return None, -1


def _faults_of(
    event: Found, previous: str, about: list[list[str]], walk: Walk
) -> Iterator[str]:
    number, body = event["sequence"], str(event["body"])
    data = body.encode("utf-8", "surrogateescape")
    if hashlib.sha256(data).hexdigest() != event["hash"]:
        yield f"Event {number} no longer has the hash it was sealed with."
        return
    record = json.loads(body)
    yield from _differing(event, record, about)
    if event["previous_hash"] != previous:
        yield f"Event {number} does not follow from the event before it."
    if "rows" not in record:
        walk.has_old_rows = True
    elif record["kind"] == FIRST_SEAL:
        walk.has_old_rows = False
    walk.clock.see(int(record["sequence"]), str(record["at"]))
    walk.tell(int(record["sequence"]), record.get("rows", []))


def _differing(
    event: Found, record: dict[str, Any], about: list[list[str]]
) -> Iterator[str]:
    sealed = {
        "sequence": record["sequence"],
        "kind": record["kind"],
        "recorded_at": record["at"],
        "actor": record["actor"],
        "location": record["location"],
        "data": full_json(record["data"]),
        "previous_hash": record["previous"],
    }
    for name, value in sealed.items():
        if event[name] != value:
            yield f"Event {event['sequence']}: {name} differs from what was sealed."
    if about != record["subjects"]:
        yield f"Event {event['sequence']}: subjects differ from what was sealed."


class _Subjects:
    """The subjects of each event, read along the chain and never all at once."""

    def __init__(self, snapshot: Snapshot) -> None:
        self._faults: list[str] = []
        columns = columns_of(EventSubject, SUBJECT_COLUMNS)
        self._rows = snapshot.rows(EventSubject, columns)
        self._last = 0
        self._row: tuple[Scalar, ...] | None = None
        self._step()

    def _fault(self, sentence: str) -> None:
        if len(self._faults) < 100:
            self._faults.append(sentence)

    def _step(self) -> None:
        row = self._row = next(self._rows, None)
        if row is None:
            return
        key = row[0]
        if not isinstance(key, int) or key <= self._last:
            self._fault(f"Subject {key} of event {row[1]} is out of its order.")
        self._last = key if isinstance(key, int) else self._last

    def _take(self, event: Scalar) -> list[list[str]]:
        """Return the subjects that stand here for one event, and go on behind them."""
        found = []
        while self._row is not None and self._row[1] == event:
            found.append([str(self._row[2]), str(self._row[3])])
            self._step()
        return found

    def of(self, number: int) -> list[list[str]]:
        """Return the subjects of this event; those of none are faults."""
        while self._row is not None and not _is_at_or_after(self._row[1], number):
            event = self._row[1]
            self._fault(f"Subjects stand for event {event}, out of the order.")
            self._take(event)
        return self._take(number)

    def faults(self) -> Iterator[str]:
        """Yield what was out of order, and the subjects that no event took."""
        while self._row is not None:
            event = self._row[1]
            self._fault(f"Subjects stand for event {event}, which is missing.")
            self._take(event)
        yield from self._faults


def _is_at_or_after(event: Scalar, number: int) -> bool:
    return isinstance(event, int) and event >= number
