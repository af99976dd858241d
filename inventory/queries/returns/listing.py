"""Returns: the list, one return with its crates, and the trucks for it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from inventory.access import scoped_in_order
from inventory.models import (
    Crate,
    CrateReturn,
    CrateType,
    Delivery,
    Location,
    OpenSum,
    ReturnLine,
    ShortCredit,
    Supplier,
    User,
)
from inventory.queries.core.counts import count_of
from inventory.queries.core.joined import joined_number
from inventory.queries.core.shared import share
from inventory.queries.crates.yard import available_crates
from inventory.queries.deposits.facts import terms_for
from inventory.rules.deposits.postings import DISPUTED, EXPECTED
from inventory.rules.reckoning.measures import Mass
from inventory.rules.returns import life as rules
from inventory.rules.returns.stacks import Load, StackPlan, Trailer, plan_stacks

FILTERS = {
    "open": "Not closed",
    "staging": "Staging",
    "shipped": "Shipped",
    "received": "Received, not credited",
    "closed": "Closed",
    "cancelled": "Canceled",
    "all": "All",
}

_LIVE = ReturnLine.objects.filter(is_taken_off=False)


def return_rows(person: User, which: str = "open") -> QuerySet[CrateReturn]:
    """Return the returns this person can see, the latest first, with their counts.

    ``which`` is a key of FILTERS.
    """
    rows = scoped_in_order(CrateReturn.objects.all(), person)
    if which == "open":
        rows = rows.filter(state__in=rules.LIFE.live)
    elif which != "all":
        rows = rows.filter(state=which)
    return with_counts(rows).order_by("-pk")


def with_counts(rows: QuerySet[CrateReturn]) -> QuerySet[CrateReturn]:
    """Join what a list of returns prints."""
    return rows.select_related(
        "location", "supplier", "carrier", "delivery__carrier"
    ).annotate(
        crate_count=count_of(_LIVE, "crate_return"),
        waiting_count=count_of(_LIVE.filter(crate__state="shipped"), "crate_return"),
        expected_now=_standing(EXPECTED),
        disputed_now=_standing(DISPUTED),
    )


def _standing(kind: str) -> Coalesce:
    """Return, inside a query of returns, what stands on their crates in an account."""
    lines = _LIVE.filter(crate_return=OuterRef(OuterRef("pk"))).order_by()
    standing = OpenSum.objects.filter(
        deposit__in=lines.values("deposit"), account__kind=kind
    )
    sums = standing.order_by().values("account__kind").annotate(total=Sum("cents"))
    return Coalesce(Subquery(sums.values("total")), Value(0))


@dataclass(frozen=True, slots=True)
class ReturnCounts:
    """The crates of a return in a list, and what the books still expect of them."""

    crates: int
    waiting: int
    expected_cents: int
    disputed_cents: int
    currency: str


def counts_on(row: CrateReturn) -> ReturnCounts:
    """Return what ``with_counts`` joined to a return. Raise NotJoinedError."""
    return ReturnCounts(
        crates=joined_number(row, "crate_count"),
        waiting=joined_number(row, "waiting_count"),
        expected_cents=joined_number(row, "expected_now"),
        disputed_cents=joined_number(row, "disputed_now"),
        currency=row.currency,
    )


def lines_of(crate_return: CrateReturn) -> list[ReturnLine]:
    """Return the crates of a return that were not taken off, with what a page prints."""
    rows = crate_return.lines.filter(is_taken_off=False)
    return list(
        rows.select_related(
            "crate__shipment", "crate__crate_type", "deposit__crate_type"
        ).order_by("pk")
    )


def shorts_of(lines: Iterable[ReturnLine]) -> dict[int, list[ShortCredit]]:
    """Return the short-paid credits on these lines' deposits, by deposit."""
    keys = [line.deposit_id for line in lines if line.deposit_id]
    found: dict[int, list[ShortCredit]] = defaultdict(list)
    for row in ShortCredit.objects.filter(deposit__in=keys).order_by("pk"):
        found[row.deposit_id].append(row)
    return dict(found)


@dataclass(frozen=True)
class EmptiesHere:
    """A return for a truck: its crates by type, and how many in all."""

    crate_return: CrateReturn
    crates: int
    by_type: tuple[tuple[str, int], ...]


def empties_for(delivery: Delivery) -> list[EmptiesHere]:
    """Return the empties staged for this truck, or that it took.

    A return belongs to a truck that it names; while it is being staged, also to a
    truck of its carrier, and to the supplier's own truck.
    """
    named = Q(delivery=delivery)
    waiting = Q(hauler=delivery.carrier_id)
    if delivery.carrier.mode == "supplier-truck":
        brought = delivery.handovers.values("shipment__supplier")
        bills = Supplier.objects.filter(pk__in=brought)
        by_name = Q(supplier__name__iexact=delivery.carrier.name)
        free = Q(carrier=None) | Q(carrier__mode="supplier-truck")
        waiting |= (Q(supplier__in=bills) | by_name) & free
    staging = Q(state__in=rules.LIFE.starts("ship"), delivery=None) & waiting
    # Not by the index on the location or the carrier: by truck, or by state.
    rows = CrateReturn.objects.alias(
        place=F("location_id") + 0, hauler=F("carrier_id") + 0
    ).filter(place=delivery.location_id)
    ours = rows.filter(named | staging).exclude(state=rules.CANCELLED)
    found = share(ours.order_by("pk"), "supplier")
    types = types_of(found)
    return [
        EmptiesHere(row, sum(count for _, count in types[row.pk]), types[row.pk])
        for row in found
    ]


def types_of(
    returns: Iterable[CrateReturn],
) -> dict[int, tuple[tuple[str, int], ...]]:
    """Return how many crates of each type are on each of these returns."""
    keys = [row.pk for row in returns]
    counts = (
        ReturnLine.objects.filter(crate_return__in=keys, is_taken_off=False)
        .order_by()
        .values("crate_return", "crate__crate_type__name")
        .annotate(count=Count("pk"))
        .order_by("crate_return", "crate__crate_type__name")
    )
    found: dict[int, list[tuple[str, int]]] = {key: [] for key in keys}
    for one in counts:
        name = one["crate__crate_type__name"] or "type not known"
        found[one["crate_return"]].append((name, one["count"]))
    return {key: tuple(rows) for key, rows in found.items()}


def ready_for(location: Location, supplier: Supplier) -> list[Crate]:
    """Return the crates that can be staged for a supplier here."""
    return list(available_crates(location, supplier))


def sums_of(lines: Sequence[ReturnLine]) -> dict[str, int]:
    """Return what is expected of these lines and what was lost, in cents."""
    names = ("expected_cents", "late_cents", "parts_cents", "hold_cents")
    return {
        name.removesuffix("_cents"): sum(getattr(line, name) or 0 for line in lines)
        for name in names
    }


def least_words(row: CrateReturn, crates: int, today: date) -> str:
    """Return the warning for a load below the supplier's least, or nothing."""
    if not row.life.can_start(row.state, "ship") or not crates:
        return ""
    terms = terms_for(row.supplier, today)
    return rules.minimum_words(crates, terms.minimum_per_pickup) if terms else ""


def mass_of(kind: CrateType | None) -> Mass | None:
    """Return the stored tare of a type; None where it is not known."""
    if kind is None or not kind.tare_weight:
        return None
    try:
        return Mass(Decimal(kind.tare_weight), kind.weight_unit)
    except (InvalidOperation, ValueError):
        return None


def plan_of(lines: Sequence[ReturnLine], trailer: Trailer) -> StackPlan:
    """Return the stacks of a return's crates on this trailer's floor."""
    counts: dict[int | None, int] = defaultdict(int)
    kinds: dict[int | None, CrateType | None] = {}
    for line in lines:
        kind = line.crate.crate_type
        key = kind.pk if kind else None
        counts[key] += 1
        kinds[key] = kind
    return plan_stacks([_load(kinds[key], counts[key]) for key in counts], trailer)


def _load(kind: CrateType | None, count: int) -> Load:
    if kind is None:
        return Load("Type not known", count, None, None, None)
    return Load(
        kind.name,
        count,
        kind.length_mm,
        kind.width_mm,
        kind.height_mm,
        kind.nested_height_mm,
        kind.most_stacked,
    )
