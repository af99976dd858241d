"""One freight bill's rows for its deadlines: trucks, crates, findings, claim."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Protocol, TypeVar

from claims.models import Claim, ClaimStep, Finding, Inspection, Notice
from claims.queries.core.bankruptcies import bankruptcies_of, proofs_filed
from claims.queries.core.parties import PARTIES_JOINED, addressee_of
from claims.queries.core.payments import payments_prefetch
from claims.queries.core.unclaimed import is_payable, route_of
from claims.rules.claim import life as lifecycle
from claims.rules.claim.routes import CARRIER
from claims.rules.deadlines.told import ToldDays, delivery_day
from inventory.models import (
    Carrier,
    CarrierBankruptcy,
    Crate,
    Delivery,
    Handover,
    Shipment,
)
from inventory.rules.reckoning.counts import TruckCount, compare_count

SHORTAGES = frozenset({"short", "missing"})
"""The kinds of finding that are a shortage, not damage."""


@dataclass(frozen=True)
class Bill:
    """All rows of one freight bill that a count needs, read once.

    ``claims`` leaves out the withdrawn ones. ``held`` gives, for the key of each finding
    that one of them has a line for, that claim. ``bankruptcies`` are by carrier,
    ``proofs`` of claim by claim. It ``is_looked_into`` where it lists no crate and a
    machine of it was inspected.
    """

    shipment: Shipment
    handovers: list[Handover]
    crates: list[Crate]
    findings: list[Finding]
    notices: list[Notice]
    claims: tuple[Claim, ...]
    held: Mapping[int, Claim]
    as_of: date
    bankruptcies: Mapping[int, CarrierBankruptcy]
    proofs: Mapping[int, ClaimStep]
    is_looked_into: bool

    @property
    def made_here(self) -> list[Claim]:
        """Return the claims made of what was found here, not opened elsewhere."""
        return [claim for claim in self.claims if not claim.opened_elsewhere]

    @property
    def carrier(self) -> Carrier:
        """Return the carrier of record, or the company on the truck."""
        return self.shipment.carrier_of_record or self.shipment.carrier


@dataclass(frozen=True)
class Truck:
    """One delivery of the bill, its receipt closed, with what was found on it."""

    handover: Handover
    crates: list[Crate]
    findings: list[Finding]
    has_closed: bool
    is_short: bool
    count_agrees: bool = False

    def only(self, findings: Sequence[Finding]) -> "Truck":
        """Return this truck as if no more than these had been found on it.

        It counts as short only while the shortage itself is among them, or was not
        recorded as a finding.
        """
        gone = [row for row in self.findings if row not in findings]
        is_known = any(row.damage_kind in SHORTAGES for row in gone)
        return replace(
            self, findings=list(findings), is_short=self.is_short and not is_known
        )

    @property
    def delivery(self) -> Delivery:
        """Return the truck's visit."""
        return self.handover.delivery

    @property
    def for_carrier(self) -> list[Finding]:
        """Return the findings that the carrier may have to pay."""
        return [row for row in self.findings if route_of(row) == CARRIER]


_JOINED = ("supplier", "location", "crate_return__supplier", *PARTIES_JOINED)


def read_bill(shipment: Shipment, as_of: date) -> Bill:
    """Read all rows of a freight bill that a count needs; of one taken back, few."""
    return read_bills({shipment.pk: as_of})[shipment.pk]


def read_bills(days: Mapping[int, date]) -> dict[int, Bill]:
    """Read the same of many, in a fixed number of queries.

    ``days`` gives the day to count for by the key of each bill.
    """
    rows = _shipments(days)
    claims = _by_bill(
        rows,
        Claim.objects.filter(shipment__in=days)
        .exclude(state__in=(lifecycle.WITHDRAWING, lifecycle.WITHDRAWN))
        .select_related("addressed_to")
        .prefetch_related(
            "supplement_rows", "lines__unit", "told_rows", payments_prefetch()
        )
        .order_by("claimant", "pk"),
    )
    findings = _by_bill(
        rows,
        Finding.objects.filter(shipment__in=days)
        .select_related("inspection", "crate")
        .order_by("number"),
    )
    notices = _by_bill(
        rows,
        Notice.objects.filter(shipment__in=days)
        .select_related("addressed_to")
        .order_by("written_at", "pk"),
    )
    handovers = _by_bill(
        rows,
        Handover.objects.filter(shipment__in=days)
        .select_related("delivery")
        .order_by("delivery__arrived_at", "pk"),
    )
    crates = _by_bill(rows, Crate.objects.filter(shipment__in=days).order_by("number"))
    looked = _looked_into(key for key in rows if not crates[key])
    every = [claim for key in rows for claim in claims[key]]
    bankrupt = bankruptcies_of(addressee_of(claim) for claim in every)
    proofs = proofs_filed(every) if bankrupt else {}
    return {
        key: Bill(
            shipment=row,
            handovers=handovers[key],
            crates=crates[key],
            findings=findings[key],
            notices=notices[key],
            claims=tuple(claims[key]),
            held=_held(claims[key], findings[key]),
            as_of=days[key],
            bankruptcies=bankrupt,
            proofs=proofs,
            is_looked_into=key in looked,
        )
        for key, row in rows.items()
    }


def _shipments(days: Mapping[int, date]) -> dict[int, Shipment]:
    """Read the bills: one with its parties in one query, many with each party once."""
    rows = Shipment.everything.filter(pk__in=days)
    rows = (
        rows.select_related(*_JOINED)
        if len(days) == 1
        else rows.prefetch_related(*_JOINED)
    )
    rows = rows.prefetch_related(
        "carrier__terms", "record_carrier__terms", "supplier__periods"
    )
    return {row.pk: row for row in rows}


class _OfBill(Protocol):
    shipment_id: int
    shipment: Any


_Row = TypeVar("_Row", bound=_OfBill)


def _by_bill(
    bills: Mapping[int, Shipment], rows: Iterable[_Row]
) -> defaultdict[int, list[_Row]]:
    """Return the rows of each bill, which they share from here on."""
    found: defaultdict[int, list[_Row]] = defaultdict(list)
    for row in rows:
        row.shipment = bills[row.shipment_id]
        found[row.shipment_id].append(row)
    return found


def _looked_into(keys: Iterable[int]) -> set[int]:
    """Return which of these bills a machine was inspected of; they list no crate."""
    rows = Inspection.objects.filter(
        shipment__in=list(keys), stage__in={"uncrating", "set-up"}
    )
    return set(rows.order_by().values_list("shipment_id", flat=True))


def _held(claims: Sequence[Claim], findings: Sequence[Finding]) -> dict[int, Claim]:
    """Return the claim that covers each finding.

    A line covers its finding, and what was found on the crate of its machine.
    """
    found: dict[int, Claim] = {}
    crates: dict[int, Claim] = {}
    for claim in claims:
        for line in claim.lines.all():
            if line.struck_reason:
                continue
            if line.finding_id:
                found[line.finding_id] = claim
            if line.unit and line.unit.crate_id:
                crates.setdefault(line.unit.crate_id, claim)
    for row in findings:
        if row.unit_id is None and row.crate_id in crates:
            found.setdefault(row.pk, crates[row.crate_id])
    return found


def trucks_of(bill: Bill, signing: int | None = None) -> list[Truck]:
    """Return what was delivered of the bill under a closed receipt, the earliest first.

    ``signing`` names a delivery that is about to be signed for, to be counted too.
    """
    count = compare_count(
        billed=bill.shipment.pieces_billed,
        unit=bill.shipment.piece_unit,
        trucks=[
            TruckCount(row.pieces_counted, row.rest_to_follow) for row in bill.handovers
        ],
    )
    last = bill.handovers[-1].pk if bill.handovers else None
    return [
        _truck(
            bill,
            row,
            is_short=count.state == "short" and row.pk == last,
            count_agrees=count.state == "agrees",
        )
        for row in bill.handovers
        if row.is_closed or row.delivery_id == signing
    ]


def told_days(claim: Claim) -> ToldDays:
    """Return the days that were told of a claim opened elsewhere."""
    told = list(claim.told_rows.all())[-1]
    billed_on = claim.shipment.bol_on
    return ToldDays(
        billed_on=billed_on or told.filed_on,
        filed_on=claim.received_on or told.filed_on,
        is_filing_proven=claim.received_on is not None,
        delivered_on=told.delivered_on,
        is_delivery_proven=bool(told.delivered_on and told.delivered_proof),
        declined_on=told.declined_on,
        is_denial_proven=bool(told.declined_proof) or claim.disallowed_on is not None,
    )


def told_truck(claim: Claim) -> Truck:
    """Return a truck that stands in for the one that another program knew. Not a row."""
    day = delivery_day(told_days(claim))
    delivery = Delivery(arrived_on=day)
    handover = Handover(delivery=delivery, shipment=claim.shipment)
    return Truck(handover, crates=[], findings=[], has_closed=False, is_short=False)


def _truck(
    bill: Bill, handover: Handover, *, is_short: bool, count_agrees: bool
) -> Truck:
    key = handover.delivery_id
    is_only = len(bill.handovers) == 1
    crates = [row for row in bill.crates if (row.delivery_id or key) == key]
    own = [
        row
        for row in bill.findings
        if _delivery_id(row) == key or (_delivery_id(row) is None and is_only)
    ]
    return Truck(
        handover=handover,
        crates=crates,
        findings=[row for row in own if is_payable(row)],
        has_closed=_has_closed(bill, crates),
        is_short=is_short,
        count_agrees=count_agrees,
    )


def _delivery_id(finding: Finding) -> int | None:
    if finding.delivery_id is None and finding.crate is not None:
        return finding.crate.delivery_id
    return finding.delivery_id


def _has_closed(bill: Bill, crates: Sequence[Crate]) -> bool:
    """Return whether something of this truck was not opened yet.

    Where no crate is listed nothing is known to be open, so the deadlines run until
    a machine was inspected.
    """
    if crates:
        return any(
            row.opened_at is None and row.look != "refused" and not row.is_over
            for row in crates
        )
    return not bill.is_looked_into
