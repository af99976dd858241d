"""Crates still closed, each with the last day on which opening it is safe.

The carrier's notice for concealed damage and the supplier's own period for damage
both run from the delivery, so a closed crate uses them up.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, prefetch_related_objects

from claims.models import Deadline
from claims.queries.core.labels import duty_label
from inventory.access import scoped_in_order
from inventory.models import (
    Crate,
    Delivery,
    Handover,
    OpenWork,
    Shipment,
    Unit,
    User,
)
from inventory.models.deliveries import CLOSED
from inventory.queries.core.shared import share
from inventory.rules.reckoning.money import largest_first

OPENING_DUTIES = ("concealed-notice", "supplier-damage")
"""The deadlines that only opening the crate can meet."""

SOON_DAYS = 2
"""From how many days before the last one a closed crate counts as running."""


@dataclass(frozen=True)
class UnopenedCrate:
    """One closed crate. Money in cents; ``last_day`` None where no deadline is counted.

    ``days_left`` is negative once the last day is past.
    """

    crate: Crate
    location_name: str
    pro_number: str
    supplier_name: str
    machines: tuple[str, ...]
    arrived_on: date
    value_cents: int | None
    currency: str
    last_day: date | None
    set_by: str
    days_left: int | None

    @property
    def models(self) -> list[str]:
        """Return the models of its machines."""
        return [unit.model for unit in self.crate.units.all()]

    @property
    def set_by_words(self) -> str:
        """Return the duty that sets the last day, as people read it."""
        return duty_label(self.set_by) if self.set_by else ""

    @property
    def state(self) -> str:
        """Return late, running or calm, for the deadline today."""
        if self.days_left is None:
            return "plain"
        if self.days_left < 0:
            return "late"
        return "running" if self.days_left <= SOON_DAYS else "calm"


def unopened_crates(person: User, today: date) -> list[UnopenedCrate]:
    """Return the closed crates the person can see, largest amount first, then oldest.

    Only crates of a signed receipt that were not refused and are not over. The home
    currency comes before others. A crate whose machines have no invoice value yet comes
    after those that have.
    """
    crates = _closed_crates(person)
    last_days = _last_days({crate.shipment_id for crate in crates})
    rows = [_row(crate, last_days, today) for crate in crates]
    return sorted(rows, key=_place_of)


def _place_of(row: UnopenedCrate) -> tuple[bool, tuple[bool, str, int], date, int]:
    """Return where a crate stands: after those with a value where it has none yet."""
    home = row.crate.shipment.location.currency
    key = largest_first(row.value_cents or 0, row.currency, home)
    return row.value_cents is None, key, row.arrived_on, row.crate.pk


def last_day_to_open(crate: Crate) -> tuple[date, str] | None:
    """Return the last safe day to open this crate and the duty that sets it."""
    return _last_days({crate.shipment_id}).get((crate.shipment_id, crate.delivery_id))


_MACHINES = Unit.objects.only("crate_id", "model", "serial", "invoice_cents").order_by(
    "pk"
)
_COLUMNS = ("number", "mark", "shipment_id", "delivery_id")


def _closed_crates(person: User) -> list[Crate]:
    """Return the crates not opened of bills whose receipt is closed, few columns each.

    Which bill is this person's, and which is closed, is asked once for each bill.
    """
    rows = Crate.objects.filter(pk__in=OpenWork.keys("closed-crate")).order_by("pk")
    read = list(rows.only(*_COLUMNS))
    bills = scoped_in_order(
        Shipment.everything.filter(pk__in={row.shipment_id for row in read}), person
    )
    here = set(bills.order_by().values_list("pk", flat=True))
    read = [row for row in read if row.shipment_id in here]
    trucks = Delivery.everything.filter(
        pk__in={row.delivery_id for row in read}, signed_at__isnull=False
    )
    signed = set(trucks.order_by().values_list("pk", flat=True))
    closed = set(
        Handover.objects.filter(CLOSED, shipment__in=here)
        .order_by()
        .values_list("delivery_id", "shipment_id")
    )
    crates = [
        row
        for row in read
        if row.delivery_id in signed or (row.delivery_id, row.shipment_id) in closed
    ]
    prefetch_related_objects(crates, Prefetch("units", _MACHINES))
    return share(crates, "shipment__location", "shipment__supplier", "delivery")


def _last_days(
    shipment_ids: Iterable[int],
) -> dict[tuple[int, int | None], tuple[date, str]]:
    """Return, by freight bill and truck, the earliest safe day and its duty.

    A manager's own date moves it only when it is earlier: nobody can make the
    carrier's deadline later.
    """
    found: dict[tuple[int, int | None], list[tuple[date, str]]] = defaultdict(list)
    rows = (
        Deadline.objects.filter(
            shipment_id__in=set(shipment_ids),
            duty__in=OPENING_DUTIES,
            superseded_at=None,
        )
        .prefetch_related("overrides")
        .order_by("safe", "pk")
    )
    for row in rows:
        days = [row.safe, *(own.due for own in row.overrides.all())]
        found[row.shipment_id, row.delivery_id].append((min(days), row.duty))
    return {key: min(days) for key, days in found.items()}


def _row(
    crate: Crate,
    last_days: dict[tuple[int, int | None], tuple[date, str]],
    today: date,
) -> UnopenedCrate:
    shipment, delivery = crate.shipment, crate.delivery
    if delivery is None:
        raise LookupError("A crate of a signed receipt names its delivery.")
    units = list(crate.units.all())
    values = [unit.invoice_cents for unit in units if unit.invoice_cents is not None]
    last = last_days.get((shipment.pk, delivery.pk))
    return UnopenedCrate(
        crate=crate,
        location_name=shipment.location.name,
        pro_number=shipment.pro_number,
        supplier_name=shipment.supplier.name if shipment.supplier else "",
        machines=tuple(str(unit) for unit in units),
        arrived_on=delivery.arrived_on,
        value_cents=sum(values) if values else None,
        currency=shipment.currency,
        last_day=last[0] if last else None,
        set_by=last[1] if last else "",
        days_left=(last[0] - today).days if last else None,
    )
