"""Every form that creates a row or moves money, as one table.

A row is a form's address, who sends it and what a good sending says. Add one for each
creating form: ``test_once`` then tries it one after another, and ``tests/race`` with
twenty at once on both databases.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Model
from django.urls import reverse

from inventory.models import Delivery, Handover
from tests import making


@dataclass(frozen=True)
class Creating:
    """One creating form: ``prepare(who)`` makes what it needs and gives its address.

    ``data`` is a good sending, and ``other`` the field and value that make another
    body of it. ``counts`` is the table whose rows are counted. ``wrong`` is a field
    that may not be empty, for the form to be shown again.
    """

    name: str
    sender: str
    prepare: Callable[[Any], str]
    data: dict[str, Any]
    other: tuple[str, str]
    wrong: str
    counts: type[Model]
    more: Callable[[Any], dict[str, Any]] = field(default=lambda who: {})


def truck(who):
    making.make_carrier()
    return reverse("log_delivery")


def bill(who):
    delivery = making.make_delivery(location=who.riverside)
    return reverse("add_bill", args=[delivery.pk])


CREATING = [
    Creating(
        name="a truck",
        sender="rosa",
        prepare=truck,
        data={"carrier_name": "Heron Freight", "arrived_at": "2026-03-10 09:15"},
        other=("driver_name", "Someone else"),
        wrong="arrived_at",
        counts=Delivery,
    ),
    Creating(
        name="a freight bill",
        sender="rosa",
        prepare=bill,
        data={
            "pro_number": "HT-2204-1",
            "pieces_billed": "2",
            "piece_unit": "crate",
            "crates": "2",
            "crate_kind": "one-way",
            "pieces_counted": "2",
        },
        other=("pieces_billed", "3"),
        wrong="pro_number",
        counts=Handover,
    ),
]
