"""What a photo belongs to, and the facts known about it when it is received."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Max, Min, Model, Q

from inventory.evidence.pictures.renditions import Decoded
from inventory.models import (
    Crate,
    CrateReturn,
    Delivery,
    Evidence,
    Location,
    Shipment,
    Unit,
)
from inventory.rules.evidence.remarks import PhotoFacts
from inventory.rules.reckoning.places import read_position


@dataclass(frozen=True)
class About:
    """The rows a photo belongs to; at least a truck, a freight bill or a return."""

    delivery: Delivery | None = None
    shipment: Shipment | None = None
    crate_return: CrateReturn | None = None
    crate: Crate | None = None
    unit: Unit | None = None

    @property
    def location(self) -> Location | None:
        """The location where it was received; None where it belongs to nothing."""
        row = self.delivery or self.shipment or self.crate_return
        return row.location if row else None

    def rows(self) -> Iterator[Model]:
        """Yield the rows whose history the photo belongs to."""
        mine = (self.delivery, self.shipment, self.crate_return, self.crate, self.unit)
        yield from (row for row in mine if row is not None)

    def as_fields(self) -> dict[str, Model | None]:
        """Return the rows by the names of the evidence row's fields."""
        return {
            "location": self.location,
            "delivery": self.delivery,
            "shipment": self.shipment,
            "crate_return": self.crate_return,
            "crate": self.crate,
            "unit": self.unit,
        }


def facts_of(
    decoded: Decoded,
    about: About,
    *,
    kind: str,
    sha256: str,
    client_id: UUID,
    at: datetime,
) -> PhotoFacts:
    """Return the facts for the remarks on one photo received now."""
    location = about.location
    first, last = _arrivals(about)
    return PhotoFacts(
        received_at=at,
        kind=kind,
        width=decoded.width,
        height=decoded.height,
        brightness=decoded.brightness,
        sharpness=decoded.sharpness,
        moves=decoded.moves,
        trouble=decoded.trouble,
        claims=decoded.claims,
        zone=location.zone if location else None,
        first_truck=first,
        last_truck=last,
        dock=read_position(location.latitude, location.longitude) if location else None,
        sent_before=_sent_before(sha256, client_id, about),
    )


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


def _sent_before(sha256: str, client_id: UUID, about: About) -> str:
    """Return whether the same bytes are already here: of this receipt, or another."""
    others = Evidence.everything.filter(original_id=sha256).exclude(client_id=client_id)
    here = Q()
    for name in ("delivery", "shipment", "crate_return"):
        if row := getattr(about, name):
            here |= Q(**{name: row})
    if others.filter(here).exists():
        return "here"
    return "elsewhere" if others.exists() else ""
