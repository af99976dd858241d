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
from inventory.forms.crates.identity import CrateIdentityForm, GiveMarksForm
from inventory.forms.crates.terms import TermsForm
from inventory.forms.crates.types import CrateTypeForm
from inventory.forms.people.partners import CarrierForm, SupplierForm
from inventory.forms.people.people import LocationForm, PersonForm
from inventory.forms.receiving.trucks import BillForm, LogDeliveryForm
from inventory.models import (
    Carrier,
    CrateTerms,
    CrateType,
    Delivery,
    Event,
    Handover,
    Location,
    Supplier,
    User,
)
from tests import making


@dataclass(frozen=True)
class Creating:
    """One creating form, and a good sending of it.

    ``prepare`` makes what the form needs and returns its address. ``sender`` names
    one of the cast. ``data`` is a good sending, ``other`` a field and value that make
    another body of it, ``needed`` a field without which the form comes back; a form
    that is only a button has neither. ``counts`` is the table in which one row more is
    expected.
    """

    name: str
    form: type[HouseForm]
    sender: str
    prepare: Callable[[Any], str]
    data: dict[str, str]
    other: tuple[str, str] | None
    needed: str
    counts: type[Model]


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


def crate_type(who):
    return reverse("add_crate_type", args=[making.make_supplier().pk])


def terms(who):
    supplier = making.make_supplier()
    # The form of the terms names its deposits by the keys of the supplier's types.
    making.make_crate_type(supplier, pk=TYPE_KEY)
    return reverse("add_terms", args=[supplier.pk])


def identity(who):
    bill = making.make_shipment(location=who.riverside)
    crate = making.make_reusable(bill, mark="")
    return reverse("set_crate_identity", args=[crate.pk])


def unmarked(who):
    bill = making.make_shipment(location=who.riverside)
    making.make_reusable(bill, mark="")
    return reverse("give_marks", args=[bill.pk])


TYPE_KEY = 4_711

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
    Creating(
        name="a carrier",
        form=CarrierForm,
        sender="mina",
        prepare=lambda who: reverse("add_carrier"),
        data={"name": "Heron Haulage", "mode": "motor", "mail_days": "5"},
        other=("name", "Heron Cartage"),
        needed="mail_days",
        counts=Carrier,
    ),
    Creating(
        name="a supplier",
        form=SupplierForm,
        sender="mina",
        prepare=lambda who: reverse("add_supplier"),
        data={"name": "Teal Tillage Works", "standing_order": "none"},
        other=("name", "Teal Plow Works"),
        needed="standing_order",
        counts=Supplier,
    ),
    Creating(
        name="a person",
        form=PersonForm,
        sender="ada",
        prepare=lambda who: reverse("add_person"),
        data={
            "full_name": "Ines Marsh",
            "username": "ines",
            "password": "a long enough secret",
        },
        other=("full_name", "Ines Moor"),
        needed="username",
        counts=User,
    ),
    Creating(
        name="a location",
        form=LocationForm,
        sender="ada",
        prepare=lambda who: reverse("add_location"),
        data={
            "name": "Low Bridge",
            "code": "LB",
            "address": "4 Mill Road",
            "time_zone": "America/Toronto",
            "country": "CA",
            "subdivision": "ON",
            "paper": "letter",
            "currency": "CAD",
            "shop_rate": "131.50",
            "shop_rate_source": "Posted rate sheet",
        },
        other=("name", "High Bridge"),
        needed="code",
        counts=Location,
    ),
    Creating(
        name="a crate type",
        form=CrateTypeForm,
        sender="abel",
        prepare=crate_type,
        data={
            "name": "Panel crate 60",
            "build": "wood",
            "kept_by": "mark",
            "size_unit": "in",
            "weight_unit": "lb",
            "most_stacked": "4",
            "part-TOTAL_FORMS": "40",
            "part-INITIAL_FORMS": "0",
            "part-0-name": "side panel",
            "part-0-count": "4",
        },
        other=("part-0-count", "6"),
        needed="part-0-count",
        counts=CrateType,
    ),
    Creating(
        name="crate terms",
        form=TermsForm,
        sender="abel",
        prepare=terms,
        data={
            "starts_on": "2026-04-01",
            "currency": "USD",
            "source": "Crate sheet 4, page 1",
            "clock_starts": "invoice",
            "clock_stops": "receipt",
            "full_days": "60",
            "includes_last_day": "on",
            "decline": "none",
            "step-TOTAL_FORMS": "12",
            "step-INITIAL_FORMS": "0",
            "return_freight": "us",
            "minimum_per_pickup": "4",
            "transit_days": "3",
            "unloading_days": "1",
            "memo_days": "30",
            f"rate_{TYPE_KEY}": "185.00",
        },
        other=("full_days", "45"),
        needed="source",
        counts=CrateTerms,
    ),
    Creating(
        name="a crate's mark and codes",
        form=CrateIdentityForm,
        sender="rosa",
        prepare=identity,
        data={"version": "1", "mark": "RK-0042"},
        other=("mark", "RK-0043"),
        needed="version",
        counts=Event,
    ),
    Creating(
        name="marks for a bill",
        form=GiveMarksForm,
        sender="rosa",
        prepare=unmarked,
        data={},
        other=None,
        needed="",
        counts=Event,
    ),
]
