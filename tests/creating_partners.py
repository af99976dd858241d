"""The forms of partners, people, locations and crates that create a row."""

from django.urls import reverse

from inventory.forms.crates.identity import CrateIdentityForm, GiveMarksForm
from inventory.forms.crates.terms import TermsForm
from inventory.forms.crates.types import CrateTypeForm
from inventory.forms.people.legal_holds import PlaceHoldForm
from inventory.forms.people.partners import CarrierForm, SupplierForm
from inventory.forms.people.people import LocationForm, PersonForm
from inventory.models import (
    Carrier,
    CrateTerms,
    CrateType,
    Event,
    LegalHold,
    Location,
    Supplier,
    User,
)
from tests import making
from tests.creating import Creating
from tests.creating_first_day import FIRST_DAY

TYPE_KEY = 4_711
"""The key of a crate type that a form names."""


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


PARTNERS = [
    *FIRST_DAY,
    Creating(
        name="a legal hold",
        form=PlaceHoldForm,
        sender="ada",
        prepare=lambda who: reverse("place_legal_hold"),
        data={"matter": "Marsh v. Quill", "reason": "Counsel asked on May 4."},
        other=("matter", "Marsh v. Heron"),
        needed="reason",
        counts=LegalHold,
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
            "length_unit": "ft",
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
