"""What a photo belongs to, and the facts known about it when it is received."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max, Min, Model, Q

from inventory.evidence.pictures.renditions import Decoded
from inventory.models import (
    Crate,
    CrateReturn,
    Delivery,
    Evidence,
    Location,
    Shipment,
    SuspenseLine,
    Unit,
)
from inventory.rules.evidence.remarks import PhotoFacts, remarks_on
from inventory.rules.reckoning.places import read_position


@dataclass(frozen=True)
class About:
    """The rows a photo belongs to; at least a truck, a freight bill or a return.

    What the supplier wrote about a credit held in suspense belongs to that credit.
    """

    delivery: Delivery | None = None
    shipment: Shipment | None = None
    crate_return: CrateReturn | None = None
    crate: Crate | None = None
    unit: Unit | None = None
    suspense_line: SuspenseLine | None = None

    @property
    def location(self) -> Location | None:
        """The location where it was received; None where it belongs to nothing."""
        row = self.delivery or self.shipment or self.crate_return or self.suspense_line
        return row.location if row else None

    def rows(self) -> Iterator[Model]:
        """Yield the rows whose history the photo belongs to."""
        mine = (self.delivery, self.shipment, self.crate_return, self.crate, self.unit)
        yield from (row for row in (*mine, self.suspense_line) if row is not None)

    def as_fields(self) -> dict[str, Model | None]:
        """Return the rows by the names of the evidence row's fields."""
        return {
            "location": self.location,
            "delivery": self.delivery,
            "shipment": self.shipment,
            "crate_return": self.crate_return,
            "crate": self.crate,
            "unit": self.unit,
            "suspense_line": self.suspense_line,
        }


def about_of(row: Evidence) -> About:
    """Return what a photo that was kept belongs to."""
    return About(row.delivery, row.shipment, row.crate_return, row.crate, row.unit)


def facts_of(row: Evidence, decoded: Decoded) -> PhotoFacts:
    """Return the facts for the remarks on one photo, as of when it was received."""
    about, location = about_of(row), row.location
    first, last = _arrivals(about)
    return PhotoFacts(
        received_at=row.received_at,
        kind=row.kind,
        width=decoded.width,
        height=decoded.height,
        brightness=decoded.brightness,
        sharpness=decoded.sharpness,
        moves=decoded.moves,
        trouble=decoded.trouble,
        claims=decoded.claims,
        zone=location.zone,
        first_truck=first,
        last_truck=last,
        dock=read_position(location.latitude, location.longitude),
        sent_before=_sent_before(row, about),
    )


def remarks_known(row: Evidence) -> list[str]:
    """Return what can be said of a photo now, though it may not be read yet."""
    if not row.is_picture or row.is_unread:
        return remarks_unread(row)
    return list(row.seen.remarks)


def remarks_unread(row: Evidence, *, is_first: bool = False) -> list[str]:
    """Return what can be said of a file whose picture nobody has seen.

    ``is_first`` is whether the caller knows that nobody sent these bytes before.
    """
    sent = "" if is_first else _sent_before(row, about_of(row))
    return remarks_on(PhotoFacts(received_at=row.received_at, sent_before=sent))


def _arrivals(about: About) -> tuple[datetime | None, datetime | None]:
    """Return the arrival of the first and the last truck that it may belong to."""
    if about.delivery:
        return about.delivery.arrived_at, about.delivery.arrived_at
    if about.shipment is None:
        return None, None
    trucks = Delivery.bringing(about.shipment).aggregate(
        first=Min("arrived_at"), last=Max("arrived_at")
    )
    return trucks["first"], trucks["last"]


def _sent_before(row: Evidence, about: About) -> str:
    """Return whether the same bytes came before: for this receipt, or another."""
    others = Evidence.everything.filter(original_id=row.original_id).exclude(pk=row.pk)
    others = others.filter(received_at__lte=row.received_at)
    if not others.exists():
        return ""
    here = Q()
    for name in ("delivery", "shipment", "crate_return", "suspense_line"):
        if one := getattr(about, name):
            here |= Q(**{name: one})
    return "here" if others.filter(here).exists() else "elsewhere"
