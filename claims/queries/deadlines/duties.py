"""The dated duties of a freight bill: its notices, and those of each of its claims.

A claim against a carrier in bankruptcy has the court's last day too.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from claims.models import Claim
from claims.queries.deadlines.bill_facts import of_carrier, of_court, of_supplier
from claims.queries.deadlines.bills import (
    Bill,
    Truck,
    read_bill,
    told_days,
    told_truck,
    trucks_of,
)
from claims.queries.deadlines.way_home import of_way_home
from claims.rules.deadlines.counted_duty import CountedDuty
from claims.rules.deadlines.told import note_of
from inventory.models import Shipment
from inventory.rules.reckoning.calendars import in_words


@dataclass(frozen=True)
class PlacedDuty:
    """One counted duty with the delivery or claim it belongs to."""

    counted: CountedDuty
    delivery_id: int | None
    claim_id: int | None


def duties_of(
    shipment: Shipment, as_of: date, signing: int | None = None
) -> list[PlacedDuty]:
    """Return every duty of this freight bill by its current rows.

    ``as_of`` only decides how many of the repeating status reports have begun;
    ``signing`` names a delivery that counts as if it were already signed.
    """
    return duties_of_bill(read_bill(shipment, as_of), signing)


def duties_of_bill(bill: Bill, signing: int | None = None) -> list[PlacedDuty]:
    """Return the same of a bill that is read already."""
    found: dict[tuple[int | None, int | None, str], PlacedDuty] = {}
    for truck in trucks_of(bill, signing):
        counts = _duties if bill.claims else _duties_before
        for claim, counted in counts(bill, truck):
            placed = _place(truck, counted, claim)
            key = (placed.delivery_id, placed.claim_id, counted.duty)
            old = found.get(key)
            if old is None or counted.safe < old.counted.safe:
                found[key] = placed
    for claim in bill.claims:
        for counted in of_way_home(bill, claim):
            own = _with_supplements(counted, claim)
            found[None, claim.pk, own.duty] = PlacedDuty(own, None, claim.pk)
        for counted in _told_duties(bill, claim):
            found[None, claim.pk, counted.duty] = PlacedDuty(counted, None, claim.pk)
        court = of_court(bill, claim)
        if court is not None:
            found[None, claim.pk, court.duty] = PlacedDuty(court, None, claim.pk)
    return sorted(
        found.values(),
        key=lambda one: (
            one.counted.safe,
            one.counted.duty,
            one.delivery_id or 0,
            one.claim_id or 0,
        ),
    )


AHEAD = timedelta(days=64)
"""How far ahead the day on which a count changes by itself is sought."""


def stays_until(bill: Bill, placed: Sequence[PlacedDuty]) -> date:
    """Return the last day for which these duties of a bill are surely the same.

    Nothing comes with the days but the carrier's status reports: there are none without
    the first one, and what has begun stays. So between two days that give the same
    nothing differs.
    """
    reports = [one.counted for one in placed if one.counted.duty.startswith("status-")]
    if not reports:
        return date.max
    first, behind = bill.as_of, bill.as_of + AHEAD
    usual = [one.due - timedelta(days=1) for one in reports if one.due > first]
    if usual and duties_of_bill(replace(bill, as_of=min(usual))) == placed:
        return min(usual)
    while first < behind:
        middle = behind - (behind - first) // 2
        if duties_of_bill(replace(bill, as_of=middle)) == placed:
            first = middle
        else:
            behind = middle - timedelta(days=1)
    return first


def _duties_before(bill: Bill, truck: Truck) -> Iterator[tuple[None, CountedDuty]]:
    """Yield the duties of one truck of a bill without a claim."""
    for counted in (*of_carrier(bill, truck, None), *of_supplier(bill, truck)):
        yield None, counted


def _duties(bill: Bill, truck: Truck) -> Iterator[tuple[Claim | None, CountedDuty]]:
    """Yield the duties of one truck: its notices, then those of each claim.

    A claim answers for its own lines alone: what no claim has yet keeps a duty to
    claim of its own.
    """
    for counted in _notice_duties(bill, truck):
        yield None, counted
    free = [row for row in truck.findings if row.pk not in bill.held]
    rest = truck.only(free)
    if rest.for_carrier:
        for counted in of_carrier(bill, rest, None):
            if not _is_notice(counted):
                yield None, counted
    for claim in bill.made_here:
        mine = [row for row in truck.findings if bill.held.get(row.pk) == claim]
        for counted in of_carrier(bill, truck.only([*mine, *free]), claim):
            is_moot = claim.ended_on is not None and counted.met_on is None
            if not (_is_notice(counted) or is_moot):
                yield claim, counted


def _told_duties(bill: Bill, claim: Claim) -> Iterator[CountedDuty]:
    """Yield the duties of a claim that was opened elsewhere, each with what is unproven."""
    if not claim.opened_elsewhere:
        return
    told = told_days(claim)
    for counted in of_carrier(bill, told_truck(claim), claim):
        is_moot = claim.ended_on is not None and counted.met_on is None
        if _is_notice(counted) or is_moot:
            continue
        note = note_of(counted.starts_on, told) if counted.starts_on else ""
        yield replace(
            counted,
            notes=(note, *counted.notes) if note else counted.notes,
            is_proven=not note,
        )


def _notice_duties(bill: Bill, truck: Truck) -> Iterator[CountedDuty]:
    """Yield the notices of one truck that are met, or that something still needs.

    What a closed claim covers needs no notice any more; the rest of the truck does.
    """
    if not any(_is_over(claim) for claim in bill.claims):
        yield from _notices_of(bill, truck)
        return
    still = [row for row in truck.findings if not _is_over(bill.held.get(row.pk))]
    left = truck.only(still)
    is_open = bool(still) or left.is_short or truck.has_closed
    needed = {one.duty: one for one in _notices_of(bill, left)} if is_open else {}
    for one in _notices_of(bill, truck):
        if one.duty in needed:
            yield needed[one.duty]
        elif one.met_on is not None:
            yield one


def _notices_of(bill: Bill, truck: Truck) -> Iterator[CountedDuty]:
    yield from filter(_is_notice, of_carrier(bill, truck, None))
    yield from of_supplier(bill, truck)


def _is_over(claim: Claim | None) -> bool:
    return claim is not None and claim.ended_on is not None


def _is_notice(counted: CountedDuty) -> bool:
    return counted.duty.startswith("supplier-") or counted.duty.endswith("-notice")


def _place(truck: Truck, counted: CountedDuty, claim: Claim | None) -> PlacedDuty:
    is_claims = counted.is_of_claim or counted.duty in {"claim", "suit"}
    placed = _with_supplements(counted, claim)
    return PlacedDuty(
        counted=placed,
        delivery_id=None if counted.is_of_claim else truck.handover.delivery_id,
        claim_id=claim.pk if claim and is_claims else None,
    )


def _with_supplements(counted: CountedDuty, claim: Claim | None) -> CountedDuty:
    """Return which supplements have not reached the carrier yet."""
    if counted.duty != "claim" or claim is None or claim.received_on is None:
        return counted
    waiting = [
        str(row.number)
        for row in claim.supplement_rows.all()
        if row.received_on is None
    ]
    if not waiting:
        return counted
    note = (
        f"The claim was received on {in_words(claim.received_on)}; supplement "
        f"{', '.join(waiting)} was not, and this deadline covers it too."
    )
    return replace(counted, notes=(*counted.notes, note))
