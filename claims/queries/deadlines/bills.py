"""One freight bill's rows for its deadlines: trucks, crates, findings, claim."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from claims.models import Claim, Finding, Notice
from claims.queries.core.payments import payments_prefetch
from claims.queries.core.unclaimed import is_payable, route_of
from claims.rules.claim import life as lifecycle
from claims.rules.claim.routes import CARRIER
from inventory.models import Crate, Delivery, Handover, Shipment
from inventory.rules.reckoning.counts import TruckCount, compare_count

SHORTAGES = frozenset({"short", "missing"})
"""The kinds of finding that are a shortage, not damage."""


@dataclass(frozen=True)
class Bill:
    """All rows of one freight bill that a count needs, read once.

    ``claims`` leaves out the withdrawn ones. ``held`` gives, for the key of each finding
    that one of them has a line for, that claim.
    """

    shipment: Shipment
    handovers: list[Handover]
    crates: list[Crate]
    findings: list[Finding]
    notices: list[Notice]
    claims: tuple[Claim, ...]
    held: Mapping[int, Claim]
    as_of: date


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


def read_bill(shipment: Shipment, as_of: date) -> Bill:
    """Read all rows of a freight bill that a count needs."""
    claims = tuple(
        Claim.objects.filter(shipment=shipment)
        .exclude(state__in=(lifecycle.WITHDRAWING, lifecycle.WITHDRAWN))
        .prefetch_related("supplement_rows", "lines__unit", payments_prefetch())
        .order_by("claimant", "pk")
    )
    rows = list(
        Finding.objects.filter(shipment=shipment)
        .select_related("inspection", "shipment", "crate")
        .order_by("number")
    )
    row = (
        Shipment.objects.select_related("carrier", "supplier", "location")
        .prefetch_related("carrier__terms", "supplier__periods")
        .get(pk=shipment.pk)
    )
    return Bill(
        shipment=row,
        handovers=list(
            Handover.objects.filter(shipment=shipment)
            .select_related("delivery")
            .order_by("delivery__arrived_at", "pk")
        ),
        crates=list(Crate.objects.filter(shipment=shipment).order_by("number")),
        findings=rows,
        notices=list(
            Notice.objects.filter(shipment=shipment).order_by("written_at", "pk")
        ),
        claims=claims,
        held=_held(claims, rows),
        as_of=as_of,
    )


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
    looked = {"uncrating", "set-up"}
    return not bill.shipment.inspections.filter(stage__in=looked).exists()
