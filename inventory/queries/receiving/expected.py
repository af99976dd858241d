"""Expected bills: the list, what a file would change, and what came of each."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, Min, OuterRef, Q, QuerySet, Subquery, Sum

from inventory.access import scoped_in_order
from inventory.models import (
    Carrier,
    Crate,
    Delivery,
    ExpectedDelivery,
    Handover,
    Location,
    Supplier,
    User,
)
from inventory.queries.core.joined import joined
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.receiving.announced import Announced, Notice
from inventory.rules.receiving.comparing import Compared, compare, state_of

FILTERS = {
    "waiting": "Due and late",
    "late": "Late",
    "arrived": "Arrived",
    "": "All",
}
STATES = {"due": "Due", "late": "Late", "arrived": "Arrived"}
SOON = timedelta(days=2)
"""How early before its day an expected bill is offered at the dock."""
MOST_OFFERED = 30


@dataclass(frozen=True)
class ExpectedRow:
    """One expected bill as the list shows it."""

    row: ExpectedDelivery
    crates: int
    arrived_on: date | None
    state: str

    @property
    def state_words(self) -> str:
        """Return the state as people read it."""
        return STATES[self.state]


def expected_in(
    person: User, which: str, todays: Mapping[int, date]
) -> QuerySet[ExpectedDelivery]:
    """Return the expected bills of the person's locations, the next first.

    ``which`` is a key of FILTERS; ``todays`` gives the date by location key.
    """
    rows = scoped_in_order(ExpectedDelivery.objects.all(), person)
    past = Q(pk=None)
    for location_id, today in todays.items():
        past |= Q(location_id=location_id, expected_on__lt=today)
    by_name = {
        "waiting": Q(shipment=None),
        "late": Q(shipment=None) & past,
        "arrived": Q(shipment__isnull=False),
    }
    return _with_counts(rows.filter(by_name.get(which, Q()))).order_by(
        "expected_on", "pk"
    )


def _with_counts(rows: QuerySet[ExpectedDelivery]) -> QuerySet[ExpectedDelivery]:
    standing = Handover.objects.filter(shipment=OuterRef("shipment")).order_by()
    came = standing.values("shipment").annotate(first=Min("delivery__arrived_on"))
    return rows.select_related("location", "supplier", "carrier", "shipment").annotate(
        arrived_on=Subquery(came.values("first"))
    )


def rows_of(
    found: Iterable[ExpectedDelivery], todays: Mapping[int, date]
) -> list[ExpectedRow]:
    """Return rows of ``expected_in`` as the list shows them, with one query more."""
    rows = list(found)
    counts = dict(
        ExpectedDelivery.objects.filter(pk__in=[row.pk for row in rows])
        .annotate(count=Sum("crates__pieces"))
        .values_list("pk", "count")
    )
    made = []
    for row in rows:
        arrived = joined(row, "arrived_on")
        state = state_of(
            expected_on=row.expected_on,
            has_come=row.shipment_id is not None,
            today=todays[row.location_id],
        )
        day = arrived if isinstance(arrived, date) else None
        made.append(ExpectedRow(row, counts.get(row.pk) or 0, day, state))
    return made


_COLUMNS: list[Column[ExpectedRow]] = [
    Column("Expected on", "day", lambda one: one.row.expected_on),
    Column("State", "text", lambda one: one.state_words),
    Column("PRO", "text", lambda one: one.row.pro_number),
    Column("Bill of lading", "text", lambda one: one.row.bol_number),
    Column("Supplier", "text", lambda one: one.row.supplier.name),
    Column(
        "Carrier",
        "text",
        lambda one: one.row.carrier.name if one.row.carrier else "",
    ),
    Column("Location", "text", lambda one: one.row.location.name),
    Column("Crates", "count", lambda one: one.crates),
    Column("Arrived on", "day", lambda one: one.arrived_on),
    Column("File", "text", lambda one: one.row.file_name),
]


def expected_sheet(rows: Iterable[ExpectedRow]) -> Sheet:
    """Return the expected bills as a sheet."""
    return make_sheet("Expected", _COLUMNS, rows, currency_of=lambda _row: "")


@dataclass(frozen=True)
class RowFate:
    """What an import would do with one row of the file."""

    row: int
    about: str
    state: str
    reason: str


def fates_of(
    notice: Notice, location: Location, supplier: Supplier
) -> tuple[list[Announced], list[RowFate]]:
    """Return the bills that are new, and the fate of each row in the file's order."""
    known = _known(location, supplier)
    carriers = {
        name.casefold() for name in Carrier.objects.values_list("name", flat=True)
    }
    new: list[Announced] = []
    fates = [
        RowFate(one.row, one.about, "refused", one.reason) for one in notice.refused
    ]
    for bill in notice.bills:
        state, reason = "new", ""
        if str(bill) in known:
            state, reason = "there", "It is expected already."
        elif bill.carrier and bill.carrier.casefold() not in carriers:
            state = "refused"
            reason = f"Carrier {bill.carrier} is not on the list. Add it first."
        else:
            new.append(bill)
        fates += [RowFate(crate.row, str(bill), state, reason) for crate in bill.crates]
    return new, sorted(fates, key=lambda one: one.row)


def _known(location: Location, supplier: Supplier) -> set[str]:
    rows = ExpectedDelivery.objects.filter(location=location, supplier=supplier)
    return {str(row) for row in rows.only("pro_number", "bol_number")}


def offered_at(
    place: Location, *, today: date, carrier_id: int | None = None
) -> list[ExpectedDelivery]:
    """Return the bills that a truck may bring to this dock, due first.

    Of its carrier, where that is known already. Each comes with ``piece_count``.
    """
    rows = ExpectedDelivery.objects.filter(
        location=place, shipment=None, expected_on__lte=today + SOON
    )
    if carrier_id is not None:
        rows = rows.filter(Q(carrier=None) | Q(carrier=carrier_id))
    counted = rows.select_related("supplier", "carrier").annotate(
        piece_count=Sum("crates__pieces")
    )
    return list(counted.order_by(F("expected_on").desc(), "pk")[:MOST_OFFERED])


def piece_count(expected: ExpectedDelivery) -> int:
    """Return how many crates are announced."""
    return sum(expected.crates.values_list("pieces", flat=True))


def bill_fields(expected: ExpectedDelivery) -> dict[str, object]:
    """Return what a bill's form starts with where this announcement arrives."""
    kinds = set(expected.crates.values_list("kind", flat=True)) - {""}
    return {
        "pro_number": expected.pro_number,
        "pieces_billed": piece_count(expected) or None,
        "piece_unit": "crate",
        "crate_kind": kinds.pop() if len(kinds) == 1 else "one-way",
        "supplier": expected.supplier_id,
        "carrier": expected.carrier_id,
    }


def came_of(expected: ExpectedDelivery) -> Compared:
    """Return what came against what was announced."""
    lines = list(expected.crates.order_by("position"))
    marks: Sequence[str] = ()
    arrived = None
    bill = expected.shipment
    if bill is not None:
        crates = Crate.objects.filter(shipment=bill).order_by("number")
        marks = list(crates.values_list("mark", flat=True))
        first = Delivery.bringing(bill).aggregate(first=Min("arrived_on"))
        arrived = first["first"]
    return compare(
        announced_marks=[line.mark for line in lines],
        announced=sum(line.pieces for line in lines),
        marks=marks,
        expected_on=expected.expected_on,
        arrived_on=arrived,
    )
