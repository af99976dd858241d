"""Counting the dated duties of a freight bill, and setting a date of our own for one.

A row is never rewritten: where the facts or the result changed, the old row is
superseded and stays, and a new one replaces it. Only the day on which delivery
was proven is filled in.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from claims.models import Deadline, DeadlineOverride
from claims.queries.core.labels import duty_label
from claims.queries.deadlines.bills import Bill, read_bills
from claims.queries.deadlines.duties import PlacedDuty, duties_of, duties_of_bill
from inventory.actions.core.events import record_event
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
    with transaction.atomic():
        record_differences(shipment=shipment, at=at, person=person)
        return list(_standing(shipment))


def record_differences(
    *, shipment: Shipment, at: datetime, person: User | None
) -> list[Difference]:
    """Count again, record an event where something changed, and return what did."""
    with transaction.atomic():
        changed = recount(shipment=shipment, at=at)
        if changed:
            _tell(shipment, changed, at=at, person=person)
    return changed


def recount(*, shipment: Shipment, at: datetime) -> list[Difference]:
    """Write what changed and return the differences, without an event.

    For `count_deadlines`, and for a dry run that is rolled back.
    """
    placed = duties_of(shipment, dock_day(at, shipment.location.zone))
    old = {
        (row.delivery_id, row.claim_id, row.duty): row for row in _standing(shipment)
    }
    wanted = {_key(one) for one in placed}
    changed = []
    for one in placed:
        key = _key(one)
        before = key if key in old else _unclaimed(key)
        row = None if before in wanted - {key} else old.pop(before, None)
        changed += _lay(shipment, one, row, at)
    for row in old.values():
        _supersede(row, at)
        sentence = f"{duty_label(row.duty)}, {row.due}: no longer runs."
        changed.append(Difference(row.duty, row.delivery_id, sentence))
    return changed


def differing(days: Mapping[int, date]) -> list[int]:
    """Return which of these freight bills count differently now. Writes nothing.

    ``days`` gives the day to count for by the key of each bill. One that cannot be counted
    is among them: its own count says why.
    """
    standing: defaultdict[int, dict[Key, dict[str, Any]]] = defaultdict(dict)
    rows = Deadline.objects.filter(shipment__in=days, superseded_at=None)
    for row in rows.order_by("safe", "pk").values("shipment_id", "met_on", *_FIELDS):
        key = (row["delivery_id"], row["claim_id"], row["duty"])
        standing[row.pop("shipment_id")][key] = row
    bills = read_bills(days)
    return [key for key in days if not _stands(bills[key], standing[key])]


def _stands(bill: Bill, rows: Mapping[Key, Mapping[str, Any]]) -> bool:
    try:
        placed = duties_of_bill(bill)
    except Exception:  # noqa: BLE001 - to be told by the count of this bill alone
        return False
    wanted = {
        _key(one): {**_fields(one), "met_on": one.counted.met_on} for one in placed
    }
    return wanted == rows


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


def _lay(
    shipment: Shipment, one: PlacedDuty, row: Deadline | None, at: datetime
) -> list[Difference]:
    counted = one.counted
    label = duty_label(counted.duty)
    if row is not None and _is_same(row, one):
        if row.met_on == counted.met_on:
            return []
        row.met_on = counted.met_on
        row.save(update_fields=["met_on"])
        how = f"met on {row.met_on}" if row.met_on else "open again"
        return [Difference(row.duty, row.delivery_id, f"{label}: {how}.")]
    new = _create(shipment, one, at)
    if row is None:
        return [Difference(new.duty, new.delivery_id, f"{label}: due {new.due}.")]
    _supersede(row, at)
    _carry_overrides(row, new)
    sentence = f"{label}: due {row.due}, safe {row.safe}; now {new.due}, {new.safe}."
    if (row.due, row.safe) == (new.due, new.safe):
        sentence = f"{label}: same dates, counted again from changed facts."
    return [Difference(new.duty, new.delivery_id, sentence)]


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


def _create(shipment: Shipment, one: PlacedDuty, at: datetime) -> Deadline:
    return Deadline.objects.create(
        location_id=shipment.location_id,
        shipment=shipment,
        counted_at=at,
        met_on=one.counted.met_on,
        **_fields(one),
    )


def _supersede(row: Deadline, at: datetime) -> None:
    row.superseded_at = at
    row.save(update_fields=["superseded_at"])


def _carry_overrides(old: Deadline, new: Deadline) -> None:
    """Carry over a manager's own dates when the counted row is counted again."""
    DeadlineOverride.objects.bulk_create(
        DeadlineOverride(
            deadline=new,
            due=own.due,
            reason=own.reason,
            decided_at=own.decided_at,
            decided_by_id=own.decided_by_id,
        )
        for own in old.overrides.order_by("pk")
    )


def _tell(
    shipment: Shipment,
    changed: list[Difference],
    *,
    at: datetime,
    person: User | None,
) -> None:
    standing = list(_standing(shipment).select_related("claim"))
    running = [row for row in standing if row.met_on is None]
    claims = {row.claim for row in standing if row.claim is not None}
    record_event(
        kind="deadlines.counted",
        at=at,
        actor=person,
        location=shipment.location,
        subjects=[shipment, *sorted(claims, key=lambda claim: claim.pk)],
        data={
            "count": len(running),
            "changed": [one.sentence for one in changed],
        },
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
