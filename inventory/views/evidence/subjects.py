"""What a photo is about, as an address says it: rows that its person may add to."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import BadRequest
from django.db.models import QuerySet
from django.http import Http404

from inventory.access import obtain
from inventory.models import Crate, CrateReturn, Delivery, Shipment, Unit, User

About = dict[str, Delivery | Shipment | Crate | Unit | CrateReturn | None]
"""What a photo belongs to, by noun."""


def rows_asked(asked: Mapping[str, str], person: User) -> About:
    """Return the rows the photos belong to, each checked for access."""
    sources: dict[str, QuerySet[Any]] = {
        "delivery": Delivery.objects.select_related("location"),
        "shipment": Shipment.standing.select_related("location"),
        "crate": Crate.objects.select_related("shipment__location", "delivery"),
        "unit": Unit.objects.select_related("shipment__location"),
        "crate_return": CrateReturn.objects.select_related("location"),
    }
    about: About = dict.fromkeys(sources)
    for name, rows in sources.items():
        if key := asked.get(name):
            about[name] = obtain(rows, person, key, "add-evidence")
    return about


def completed(about: About) -> About:
    """Fill in the freight bill and truck that a crate or machine belongs to."""
    crate, unit = about["crate"], about["unit"]
    for inner in (crate, unit):
        if isinstance(inner, Crate | Unit):
            if about["shipment"] not in {None, inner.shipment}:
                raise BadRequest(
                    "The crate or machine is not on that freight bill. Nothing was saved."
                )
            about["shipment"] = inner.shipment
    if isinstance(crate, Crate) and about["delivery"] is None:
        about["delivery"] = crate.delivery
    named = [name for name, row in about.items() if row is not None]
    if "crate_return" in named and len(named) > 1:
        raise BadRequest(
            "Photos of a return belong to the return alone. Nothing was saved."
        )
    if not {"delivery", "shipment", "crate_return"} & set(named):
        raise Http404
    _same_truck(about)
    return about


def _same_truck(about: About) -> None:
    delivery, shipment = about["delivery"], about["shipment"]
    if (
        isinstance(delivery, Delivery)
        and isinstance(shipment, Shipment)
        and not shipment.handovers.filter(delivery=delivery).exists()
    ):
        raise BadRequest("That freight bill was not on that truck. Nothing was saved.")
