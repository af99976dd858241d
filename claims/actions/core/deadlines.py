"""Counting the dated duties of a freight bill, and setting a date of our own for one.

A row is never rewritten: where the facts or the result changed, the old row is
superseded and stays, and a new one replaces it. Only the day on which delivery
was proven is filled in.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from claims.models import Deadline, DeadlineOverride
from claims.queries.core.labels import duty_label
from claims.queries.deadlines.bills import Bill, read_bill, read_bills
from claims.queries.deadlines.duties import (
    PlacedDuty,
    duties_of_bill,
    stays_until,
)
from inventory.actions.core.events import Part, record_event, record_events
from inventory.actions.core.versions import RefusedError
from inventory.models import Shipment, User
from inventory.rules.reckoning.moments import dock_day

Key = tuple[int | None, int | None, str]
"""One duty has one running row a delivery and claim; some have only one of them."""


@dataclass(frozen=True)
class Difference:
    """What a count changed: the duty, its delivery, and how, in one sentence."""

    duty: str
    delivery_id: int | None
    sentence: str


def count_deadlines(
    *, shipment: Shipment, at: datetime, person: User | None
) -> list[Deadline]:
    """Count all duties of a freight bill again and return the current ones.

    ``person`` is None for the nightly command. Safe to call again: where nothing
    changed, nothing is written.
    """
    rows = _counted(shipment, at, person).standing
    return sorted(rows, key=lambda row: (row.safe, row.pk))


def record_differences(
    *, shipment: Shipment, at: datetime, person: User | None
) -> list[Difference]:
    """Count again, record an event where something changed, and return what did."""
    return _counted(shipment, at, person).differences


def _counted(shipment: Shipment, at: datetime, person: User | None) -> "_Found":
    with transaction.atomic():
        bill = read_bill(shipment, dock_day(at, shipment.location.zone))
        found = _found(bill, duties_of_bill(bill), _standing(shipment), at)
        record_events(at=at, actor=person, parts=_save([found], at))
    return found


def record_many(
    *, days: Mapping[int, date], at: datetime, is_dry: bool = False
) -> dict[int, list[Difference]]:
    """Count these freight bills again in one transaction, each with its own event.

    ``days`` gives the day to count for by the key of each. Return what changed of each.
    A dry run writes nothing.
    """
    with transaction.atomic():
        bills = read_bills(days)
        standing = _standing_by_bill(days)
        found = {
            key: _found(bill, duties_of_bill(bill), standing[key], at)
            for key, bill in bills.items()
        }
        if not is_dry:
            record_events(at=at, actor=None, parts=_save(found.values(), at))
    return {key: one.differences for key, one in found.items()}


@dataclass
class _Found:
    """What a count of one bill changes, to be saved, and the rows that stand after it."""

    bill: Bill
    differences: list[Difference] = field(default_factory=list)
    standing: list[Deadline] = field(default_factory=list)
    met: list[Deadline] = field(default_factory=list)
    over: list[Deadline] = field(default_factory=list)
    made: list[tuple[Deadline, Deadline | None]] = field(default_factory=list)
    """Each new row, with the one in whose place it is."""


def _found(
    bill: Bill, placed: Sequence[PlacedDuty], standing: Iterable[Deadline], at: datetime
) -> _Found:
    """Return where these duties differ from the standing rows. Writes nothing."""
    old = {(row.delivery_id, row.claim_id, row.duty): row for row in standing}
    wanted = {_key(one) for one in placed}
    found = _Found(bill)
    for one in placed:
        key = _key(one)
        before = key if key in old else _unclaimed(key)
        row = None if before in wanted - {key} else old.pop(before, None)
        if row is not None and _is_same(row, one):
            found.standing.append(row)
            if row.met_on != one.counted.met_on:
                row.met_on = one.counted.met_on
                found.met.append(row)
                found.differences.append(_told_of_meeting(row))
            continue
        made = _made(bill.shipment, one, at)
        found.made.append((made, row))
        found.standing.append(made)
        found.differences.append(_told_of(made, row))
        if row is not None:
            found.over.append(row)
    for row in old.values():
        sentence = f"{duty_label(row.duty)}, {row.due}: no longer runs."
        found.differences.append(Difference(row.duty, row.delivery_id, sentence))
    found.over += old.values()
    return found


def _save(every: Iterable[_Found], at: datetime) -> list[Part]:
    """Write what these counts change, all together; return what is to tell of each."""
    changed = [found for found in every if found.differences]
    for row in (row for found in changed for row in found.met):
        row.save(update_fields=["met_on"])
    over = [row.pk for found in changed for row in found.over]
    if over:
        Deadline.objects.filter(pk__in=over).update(superseded_at=at)
    made = [pair for found in changed for pair in found.made]
    Deadline.objects.bulk_create(new for new, _ in made)
    own = _carry_overrides({row.pk: new for new, row in made if row is not None})
    return [_part(found, own) for found in changed]


def compared(days: Mapping[int, date]) -> dict[int, date | None]:
    """Return until which day a count of each bill finds nothing; None where it does now.

    ``days`` gives the day to count for by the key of each bill. One that cannot be counted
    has None too: its own count says why. Writes nothing.
    """
    standing: defaultdict[int, dict[Key, dict[str, Any]]] = defaultdict(dict)
    rows = Deadline.objects.filter(shipment__in=days, superseded_at=None)
    for row in rows.order_by("safe", "pk").values("shipment_id", "met_on", *_FIELDS):
        key = (row["delivery_id"], row["claim_id"], row["duty"])
        standing[row.pop("shipment_id")][key] = row
    bills = read_bills(days)
    return {key: _stands_until(bills[key], standing[key]) for key in days}


def _stands_until(bill: Bill, rows: Mapping[Key, Mapping[str, Any]]) -> date | None:
    try:
        placed = duties_of_bill(bill)
        wanted = {
            _key(one): {**_fields(one), "met_on": one.counted.met_on} for one in placed
        }
        return stays_until(bill, placed) if wanted == rows else None
    except Exception:  # noqa: BLE001 - to be told by the count of this bill alone
        return None


def _standing_by_bill(keys: Iterable[int]) -> defaultdict[int, list[Deadline]]:
    found: defaultdict[int, list[Deadline]] = defaultdict(list)
    rows = Deadline.objects.select_for_update(of=("self",)).filter(
        shipment__in=list(keys), superseded_at=None
    )
    for row in rows.order_by("safe", "pk"):
        found[row.shipment_id].append(row)
    return found


def _standing(shipment: Shipment) -> QuerySet[Deadline]:
    return (
        Deadline.objects.select_for_update(of=("self",))
        .filter(shipment=shipment, superseded_at=None)
        .order_by("safe", "pk")
    )


def _key(one: PlacedDuty) -> Key:
    return (one.delivery_id, one.claim_id, one.counted.duty)


def _unclaimed(key: Key) -> Key:
    """Return the key under which a claim's duty ran before the claim was made."""
    delivery_id, _, duty = key
    return (delivery_id, None, duty)


def _told_of_meeting(row: Deadline) -> Difference:
    """Return what to say of a duty whose day of being met is another."""
    how = f"met on {row.met_on}" if row.met_on else "open again"
    return Difference(row.duty, row.delivery_id, f"{duty_label(row.duty)}: {how}.")


def _told_of(new: Deadline, row: Deadline | None) -> Difference:
    """Return what to say of a new row, in the place of this one or of none."""
    label = duty_label(new.duty)
    if row is None:
        sentence = f"{label}: due {new.due}."
    elif (row.due, row.safe) == (new.due, new.safe):
        sentence = f"{label}: same dates, counted again from changed facts."
    else:
        sentence = (
            f"{label}: due {row.due}, safe {row.safe}; now {new.due}, {new.safe}."
        )
    return Difference(new.duty, new.delivery_id, sentence)


_FIELDS = (
    "delivery_id",
    "claim_id",
    "duty",
    "owed_by",
    "record_key",
    "rule_version",
    "inputs",
    "starts_on",
    "due",
    "safe",
    "send_by",
    "steps",
    "notes",
    "effect",
    "authority",
    "confidence",
    "is_proven",
)
"""What `_fields` gives, by its columns."""


def _fields(one: PlacedDuty) -> dict[str, object]:
    counted = one.counted
    return {
        "delivery_id": one.delivery_id,
        "claim_id": one.claim_id,
        "duty": counted.duty,
        "owed_by": counted.owed_by,
        "record_key": counted.record_key,
        "rule_version": counted.rule_version,
        "inputs": counted.inputs,
        "starts_on": counted.starts_on,
        "due": counted.due,
        "safe": counted.safe,
        "send_by": counted.send_by,
        "steps": list(counted.steps),
        "notes": list(counted.notes),
        "effect": counted.effect,
        "authority": counted.authority,
        "confidence": counted.confidence,
        "is_proven": counted.is_proven,
    }


def _is_same(row: Deadline, one: PlacedDuty) -> bool:
    return all(getattr(row, name) == value for name, value in _fields(one).items())


def _made(shipment: Shipment, one: PlacedDuty, at: datetime) -> Deadline:
    return Deadline(
        location_id=shipment.location_id,
        shipment=shipment,
        counted_at=at,
        met_on=one.counted.met_on,
        **_fields(one),
    )


def _carry_overrides(
    places: Mapping[int, Deadline],
) -> Mapping[int, list[DeadlineOverride]]:
    """Carry over a manager's own dates from each row to the one in its place.

    ``places`` gives the new row by the key of the old. Return the dates by the new key.
    """
    if not places:
        return {}
    rows = [
        DeadlineOverride(
            deadline=places[own.deadline_id],
            due=own.due,
            reason=own.reason,
            decided_at=own.decided_at,
            decided_by_id=own.decided_by_id,
        )
        for own in DeadlineOverride.objects.filter(deadline__in=places).order_by("pk")
    ]
    found: defaultdict[int, list[DeadlineOverride]] = defaultdict(list)
    for row in DeadlineOverride.objects.bulk_create(rows):
        found[row.deadline_id].append(row)
    return found


def _part(found: _Found, own: Mapping[int, list[DeadlineOverride]]) -> Part:
    """Return what the event of one bill tells."""
    bill = found.bill
    running = [row for row in found.standing if row.met_on is None]
    of_claims = {row.claim_id for row in found.standing}
    about = [claim for claim in bill.claims if claim.pk in of_claims]
    made = [new for new, _ in found.made]
    dates = [one for row in made for one in own.get(row.pk, ())]
    return Part(
        kind="deadlines.counted",
        location=bill.shipment.location,
        subjects=[bill.shipment, *sorted(about, key=lambda claim: claim.pk)],
        data={
            "count": len(running),
            "changed": [one.sentence for one in found.differences],
        },
        rows=[*found.met, *found.over, *made, *dates],
    )


def override_deadline(
    *, deadline: Deadline, due: date, reason: str, person: User, at: datetime
) -> DeadlineOverride:
    """Set our own date for a duty, with a reason. The counted date stays.

    Raise RefusedError for a duty that was superseded or met, or without a reason.
    """
    with transaction.atomic():
        row = (
            Deadline.objects.select_for_update(of=("self",))
            .select_related("shipment__location")
            .get(pk=deadline.pk)
        )
        if row.superseded_at or row.met_on:
            raise RefusedError(
                "This deadline has changed since you opened the page. Nothing was "
                "saved. Open the page again."
            )
        if not reason.strip():
            raise RefusedError("Enter a reason. Both dates stay on the page.")
        own = DeadlineOverride.objects.create(
            deadline=row, due=due, reason=reason, decided_at=at, decided_by=person
        )
        about = [one for one in (row.delivery, row.shipment, row.claim) if one]
        record_event(
            kind="deadline.overridden",
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=about,
            data={
                "duty": duty_label(row.duty),
                "counted": row.due.isoformat(),
                "due": due.isoformat(),
                "reason": reason,
            },
        )
    return own
