"""Every form that creates a row or moves money, as one table.

Each line is tried one sending after another in ``tests/house/test_creating_forms.py``,
and twenty at once on both databases in ``tests/race/test_creating_forms.py``.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Model
from django.urls import reverse

from claims.forms.bench.findings import FindingForm
from claims.forms.claim.steps import NoticeForm
from claims.models import Finding, Notice
from inventory.forms.core.base import HouseForm
from inventory.forms.receiving.trucks import BillForm, LogDeliveryForm
from inventory.models import Delivery, Handover
from tests import making


@dataclass(frozen=True)
class Creating:
    """One creating form, and a good sending of it.

    ``prepare`` makes what the form needs and returns its address, or its address and
    more data. ``sender`` names one of the cast. ``data`` is a good sending, ``other``
    a field and value that make another body of it, ``needed`` a field without which
    the form comes back. ``counts`` is the table in which one row more is expected.
    """

    name: str
    form: type[HouseForm]
    sender: str
    prepare: Callable[[Any], str | tuple[str, dict[str, Any]]]
    data: dict[str, str]
    other: tuple[str, str]
    needed: str
    counts: type[Model]

    def ready(self, who: Any) -> tuple[str, dict[str, Any]]:
        """Make what the form needs; return its address and a good sending."""
        made = self.prepare(who)
        address, more = (made, {}) if isinstance(made, str) else made
        return address, self.data | more


def truck(who):
    return reverse("log_delivery")


def bill(who):
    delivery = making.make_delivery(location=who.riverside)
    return reverse("add_bill", args=[delivery.pk])


def opened_machine(who):
    shipment = making.make_shipment(location=who.riverside)
    delivery = making.make_signed_delivery(
        location=who.riverside, signed_by=who.rosa, carrier=shipment.carrier
    )
    making.make_handover(delivery, shipment)
    crate = making.make_crate(
        shipment,
        delivery=delivery,
        look="clear",
        opened_at=making.ARRIVED,
        opened_on=date(2026, 3, 10),
    )
    return making.make_unit(crate=crate)


def finding(who):
    unit = opened_machine(who)
    address = reverse("record_finding", args=[unit.shipment_id])
    return f"{address}?unit={unit.pk}&stage=uncrating"


def notice(who):
    shipment = opened_machine(who).shipment
    return reverse("write_notice", args=[shipment.pk, "concealed"])


CREATING = [
    Creating(
        name="a truck",
        form=LogDeliveryForm,
        sender="rosa",
        prepare=truck,
        data={"carrier_name": "Heron Freight", "arrived_at": "2026-03-10 09:15"},
        other=("driver_name", "Someone else"),
        needed="arrived_at",
        counts=Delivery,
    ),
    Creating(
        name="a freight bill",
        form=BillForm,
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
        needed="piece_unit",
        counts=Handover,
    ),
    Creating(
        name="a finding",
        form=FindingForm,
        sender="tomas",
        prepare=finding,
        data={
            "crate_condition": "sound",
            "damage_kind": "cracked",
            "severity": "severe",
            "facts": "Cracked at the left hinge, 12 cm.",
            "cause": "transit",
        },
        other=("facts", "Cracked at the right hinge."),
        needed="severity",
        counts=Finding,
    ),
    Creating(
        name="a notice",
        form=NoticeForm,
        sender="mina",
        prepare=notice,
        data={"addressee": "Plainsway, claims", "text": "Subject\n\nBody."},
        other=("text", "Subject\n\nAnother body."),
        needed="addressee",
        counts=Notice,
    ),
]
