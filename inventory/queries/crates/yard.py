"""The crates of a location: which are here, held, and ready to go back."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.access import locations_of, scoped_in_order
from inventory.models import Crate, Deposit, Location, PackagingHold, Supplier, User
from inventory.queries.core.joined import joined
from inventory.queries.deposits.bare import OF_CRATE, OF_DEPOSIT, BareDeposit, BareFacts
from inventory.queries.deposits.crate_days import CreditDays, bare_day, days_of
from inventory.rules.crates.life import LIFE, CrateFacts
from inventory.rules.crates.words import CRATE_STATES, ON_HAND, READY

FILTERS = {
    "here": "In the yard",
    "to-do": "To empty, take apart or check",
    "ready": "Ready to go back",
    "held": "Packaging on hold",
    "one-way": "One-way, not disposed of",
    **{key: label for key, label in CRATE_STATES.items() if key not in {"", *READY}},
}
"""The filters of the list, each with its label."""


HERE = frozenset({"here", "to-do", "ready", "held", "one-way", *ON_HAND})
"""The filters whose rows are all in the yard, so that they are few."""


@dataclass(frozen=True)
class CrateRow:
    """One crate of the list: its days, whether it is held, and the next thing to do."""

    crate: Crate
    is_held: bool
    days: CreditDays

    @property
    def next_words(self) -> str:
        """Return the next thing to do with it."""
        if self.crate.kind == "one-way":
            return _one_way_step(self.crate, is_held=self.is_held)
        return LIFE.next_step(self.crate.state, CrateFacts(is_held=self.is_held))


def _one_way_step(crate: Crate, *, is_held: bool) -> str:
    if crate.disposal:
        return f"{crate.get_disposal_display()}. Nothing to do"
    if is_held:
        return LIFE.next_step("full", CrateFacts(is_held=True))
    return "Dispose of it" if crate.opened_at else "Open it"


def is_held(crate: Crate) -> bool:
    """Return whether this crate's packaging is on hold now."""
    return PackagingHold.objects.filter(crate=crate, released_at=None).exists()


def _standing() -> Exists:
    """Return, inside a query of crates, whether a packaging hold is in force on each."""
    rows = PackagingHold.objects.filter(crate=OuterRef("pk"), released_at=None)
    return Exists(rows)


def available_crates(location: Location, supplier: Supplier) -> "QuerySet[Crate]":
    """Return the crates that can be staged for a supplier: checked, here, not held."""
    rows = Crate.objects.filter(
        shipment__location=location,
        shipment__supplier=supplier,
        kind="reusable",
        state__in=READY,
    )
    return (
        rows.filter(~_standing())
        .select_related("shipment__supplier", "crate_type", "delivery")
        .order_by("shipment_id", "number")
    )


def crates_in(
    person: User, which: str = "here", supplier: Supplier | None = None
) -> "QuerySet[Crate]":
    """Return the crates of the person's locations, joined, the latest first.

    ``which`` is a key of FILTERS. Refused crates are left out: they are not ours.
    """
    rows = scoped_in_order(Crate.objects.all(), person).filter(_narrowed(which))
    if supplier is not None:
        rows = rows.filter(shipment__supplier=supplier)
    return (
        rows.exclude(look="refused")
        .annotate(has_hold=_standing())
        .select_related(
            "shipment__location", "shipment__supplier", "crate_type", "delivery"
        )
        .order_by("-pk")
    )


def rows_of(crates: Iterable[Crate], todays: Mapping[int, date]) -> list[CrateRow]:
    """Return crates as the list shows them; they come from ``crates_in``."""
    found = list(crates)
    days = days_of(found, todays)
    return [
        CrateRow(crate, bool(joined(crate, "has_hold")), days[crate.pk])
        for crate in found
    ]


def keys_in_order(crates: "QuerySet[Crate]", todays: Mapping[int, date]) -> list[int]:
    """Return the keys of ``crates_in``, in the order of ``lapsing_first``.

    It reads the columns that the order needs; ``rows_of`` joins the rows of one page.
    """
    columns = ("pk", "shipment__location_id", *OF_CRATE)
    read = {row[0]: row[1:] for row in crates.order_by().values_list(*columns)}
    here = [key for key, (_, _, state, *_) in read.items() if state in ON_HAND]
    charged = Deposit.objects.filter(crate__in=here, is_withdrawn=False).order_by()
    found = [
        BareDeposit(*row, *read[row[-1]][1:])
        for row in charged.values_list(*OF_DEPOSIT)
    ]
    book = BareFacts(found)
    last = {
        row.crate: bare_day(row, book, todays[read[row.crate][0]]).last_full_on
        for row in found
        if row.crate is not None
    }
    return sorted(read, key=lambda key: _by_last(last.get(key), key))


def page_rows(
    crates: "QuerySet[Crate]", keys: Sequence[int], todays: Mapping[int, date]
) -> list[CrateRow]:
    """Return the rows of these keys out of ``crates_in``, in the order of the keys."""
    rows = rows_of(crates.filter(pk__in=keys), todays)
    by_key = {row.crate.pk: row for row in rows}
    return [by_key[key] for key in keys if key in by_key]


def lapsing_first(rows: Iterable[CrateRow]) -> list[CrateRow]:
    """Return the rows by the last day for full credit; those without one at the end."""
    return sorted(rows, key=_lapsing)


def _lapsing(row: CrateRow) -> tuple[bool, date, int]:
    return _by_last(row.days.last_full_on, row.crate.pk)


def _by_last(last: date | None, key: int) -> tuple[bool, date, int]:
    return last is None, last or date.max, -key


def _narrowed(which: str) -> Q:
    by_name: dict[str, Q] = {
        "here": Q(state__in=ON_HAND),
        "to-do": (Q(state="emptied") | Q(state="full", opened_at__isnull=False))
        & ~Q(_standing()),
        "ready": Q(state__in=READY) & ~Q(_standing()),
        "held": Q(_standing()),
        "one-way": Q(kind="one-way", disposal="", opened_at__isnull=False),
    }
    return by_name.get(which, Q(state=which))


@dataclass(frozen=True)
class HeldRow:
    """A packaging hold in force, with the days of its crate."""

    hold: PackagingHold
    days: CreditDays


def held_rows(person: User, todays: Mapping[int, date]) -> list[HeldRow]:
    """Return the packaging holds in force at these places, due first first."""
    holds = list(
        scoped_in_order(PackagingHold.objects.filter(released_at=None), person)
        .select_related(
            "crate__shipment__location",
            "crate__shipment__carrier",
            "crate__shipment__supplier",
            "crate__delivery",
        )
        .order_by("placed_at", "pk")
    )
    holds = [hold for hold in holds if hold.crate.shipment.location_id in todays]
    days = days_of([hold.crate for hold in holds], todays)
    rows = [HeldRow(hold, days[hold.crate_id]) for hold in holds]
    return sorted(rows, key=lambda row: row.days.last_full_on or date.max)


def suppliers_with_crates(person: User) -> "QuerySet[Supplier]":
    """Return the suppliers of the crates received here, by name."""
    # By key: PostgreSQL would read the supplier's bills of every location.
    places = list(locations_of(person, "see").order_by().values_list("pk", flat=True))
    here = Crate.objects.filter(shipment__location__in=places).order_by()
    received = Exists(here.filter(shipment__supplier=OuterRef("pk")))
    return Supplier.objects.filter(received).order_by("name", "pk")
