"""What hangs on a truck, a bill or a crate, so that it can no longer be taken back."""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.db.models import Q, QuerySet

from claims.models import Claim, Finding, Inspection, Notice
from claims.queries.core.test_trucks import is_test
from claims.rules.claim import life as lifecycle
from inventory.models import (
    Crate,
    CrateReturn,
    Delivery,
    Deposit,
    Handover,
    Hold,
    PackagingHold,
    ReturnLine,
    Shipment,
    Unit,
)
from inventory.models.withdrawn import Withdrawable
from inventory.rules.returns.life import CANCELLED

NOTE = "Add a note to the receipt instead."


@dataclass
class TakenBack:
    """The rows that go when one is taken back; each kind in the order of its keys."""

    trucks: list[Delivery] = field(default_factory=list)
    handovers: list[Handover] = field(default_factory=list)
    bills: list[Shipment] = field(default_factory=list)
    crates: list[Crate] = field(default_factory=list)
    machines: list[Unit] = field(default_factory=list)
    is_test: bool = False

    def rows(self) -> list[Withdrawable]:
        """Return every row, the outermost first."""
        return [
            *self.trucks,
            *self.bills,
            *self.handovers,
            *self.crates,
            *self.machines,
        ]


def with_truck(truck: Delivery) -> TakenBack:
    """Return what goes with a truck: its part of each bill, and bills only on it."""
    gone = TakenBack(trucks=[truck], is_test=is_test(truck.pk))
    for handover in _handovers(truck.handovers.all()):
        _add_bill(gone, handover)
    _add_machines(gone)
    return gone


def with_bill(handover: Handover) -> TakenBack:
    """Return what goes where a bill is taken off a truck."""
    gone = TakenBack()
    _add_bill(gone, handover)
    _add_machines(gone)
    return gone


def with_crate(crate: Crate) -> TakenBack:
    """Return what goes with a crate: nothing else."""
    return TakenBack(crates=[crate])


def _handovers(rows: QuerySet[Handover]) -> QuerySet[Handover]:
    return rows.select_related("shipment", "delivery").order_by("pk")


def _add_bill(gone: TakenBack, handover: Handover) -> None:
    bill, truck = handover.shipment, handover.delivery
    gone.handovers.append(handover)
    crates = bill.crates.order_by("pk")
    if bill.handovers.exclude(pk=handover.pk).exists():
        crates = crates.filter(delivery=truck)
    else:
        gone.bills.append(bill)
    gone.crates += crates


def _add_machines(gone: TakenBack) -> None:
    gone.machines += Unit.objects.filter(shipment__in=gone.bills).order_by("pk")


def why_it_stays(gone: TakenBack) -> str:
    """Return what hangs on these rows as a sentence with the way on, or ""."""
    asked = [one for one in _QUESTIONS if not (gone.is_test and one in _PRACTICE)]
    found = (question(gone) for question in asked)
    first = next((words for words in found if words), "")
    return f"{first} Nothing was changed." if first else ""


def why_closed(gone: TakenBack) -> str:
    """Return which signed receipt closes the record of these rows, or ""."""
    if any(row.is_signed for row in gone.trucks):
        return f"The receipt of this truck is signed, so its record is closed. {NOTE}"
    signed = next((row for row in _handovers_of(gone) if row.is_closed), None)
    if signed is None:
        return ""
    return (
        f"The receipt of {signed.shipment} is signed, so its record is closed. {NOTE}"
    )


def _handovers_of(gone: TakenBack) -> list[Handover]:
    """Return the handovers that go, or those by which the crates came."""
    if gone.handovers:
        return gone.handovers
    rows = Handover.objects.filter(
        shipment__in=[one.shipment_id for one in gone.crates]
    )
    trucks = [one.delivery_id for one in gone.crates if one.delivery_id]
    return list(_handovers(rows.filter(delivery__in=trucks) if trucks else rows))


def _claims(gone: TakenBack) -> str:
    rows = Claim.objects.filter(shipment__in=gone.bills)
    claim = rows.exclude(state=lifecycle.WITHDRAWN).first()
    return f"Claim {claim.number} is made on it." if claim else ""


def _notices(gone: TakenBack) -> str:
    on_truck = Q(delivery__in=gone.trucks) | Q(
        shipment__in=[row.shipment_id for row in gone.handovers],
        delivery__in=[row.delivery_id for row in gone.handovers],
    )
    rows = Notice.objects.filter(Q(shipment__in=gone.bills) | on_truck)
    notice = rows.first()
    if notice is None:
        return ""
    return f"A letter about it is on file: {notice.get_kind_display().lower()}."


def _findings(gone: TakenBack) -> str:
    theirs = Q(delivery__in=gone.trucks) | Q(shipment__in=gone.bills)
    rows = Finding.objects.filter(theirs | Q(crate__in=gone.crates))
    finding = rows.exclude(route="nowhere").select_related("unit", "crate").first()
    if finding is None:
        return ""
    return (
        f"{finding}, is recorded. If that is a mistake too, inspect the crate again "
        "and record no visible damage first."
    )


def _opened(gone: TakenBack) -> str:
    crate = next((row for row in gone.crates if row.opened_at), None)
    return f"Crate {crate.number} was opened already." if crate else ""


def _inspected(gone: TakenBack) -> str:
    inspected = Inspection.objects.filter(unit__in=gone.machines)
    row = inspected.select_related("unit").first()
    return f"Machine {row.unit} was inspected already." if row else ""


def _held(gone: TakenBack) -> str:
    hold = Hold.objects.filter(unit__in=gone.machines).select_related("unit").first()
    if hold:
        return f"There is a setup hold on {hold.unit}."
    held = PackagingHold.objects.filter(crate__in=gone.crates).select_related("crate")
    packaging = held.first()
    return f"There is a packaging hold on {packaging.crate}." if packaging else ""


def _deposits(gone: TakenBack) -> str:
    rows = Deposit.objects.filter(crate__in=gone.crates, is_withdrawn=False)
    deposit = rows.select_related("crate").first()
    if deposit is None:
        return ""
    return (
        f"{deposit.crate} has the deposit on invoice {deposit.invoice_number}. "
        "Accounting withdraws it first."
    )


def _returns(gone: TakenBack) -> str:
    named = CrateReturn.objects.filter(delivery__in=gone.trucks)
    load = named.exclude(state=CANCELLED).first()
    if load:
        return f"{load} is planned for this truck, or left on it. Change it first."
    lines = ReturnLine.objects.filter(crate__in=gone.crates, is_taken_off=False)
    line = lines.select_related("crate", "crate_return").first()
    return f"{line} is recorded." if line else ""


def _listed_in(gone: TakenBack) -> str:
    """Return the machine that would lose its crate: one whose bill stays."""
    left = Unit.objects.filter(crate__in=gone.crates)
    unit = left.exclude(pk__in=[row.pk for row in gone.machines]).first()
    if unit is None:
        return ""
    return f"Machine {unit} is listed in it. Change the machine's crate first."


_QUESTIONS: tuple[Callable[[TakenBack], str], ...] = (
    why_closed,
    _claims,
    _notices,
    _deposits,
    _returns,
    _opened,
    _inspected,
    _held,
    _findings,
    _listed_in,
)

_PRACTICE = frozenset({why_closed, _opened, _inspected, _findings})
"""What does not keep a test truck: it was signed, opened and inspected for practice."""
