"""The forms of a company's first day that create rows."""

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from claims.forms.desk.first_day import (
    FirstCarrierForm,
    FirstLocationForm,
    FirstPersonForm,
    FirstSupplierForm,
    UsualNumbersForm,
)
from claims.forms.receiving.tailgate import TestTruckForm
from inventory.forms.imports.lists import TakeListForm
from inventory.models import (
    Carrier,
    Delivery,
    Location,
    Once,
    Supplier,
    User,
)
from tests import making
from tests.creating import Creating


def first_person(who):
    role = {f"roles_{who.riverside.pk}": "clerk", f"roles_{who.hillcrest.pk}": []}
    return reverse("welcome_people"), role


def carriers_shown(who):
    file = SimpleUploadedFile("list.csv", b"Name,SCAC\nDunlin Haulage,DNLN\n")
    browser = Client()
    browser.force_login(who.ada)
    preview = browser.post(reverse("import_carriers"), {"sheet": file})
    return (
        reverse("import_carriers"),
        {"signed": preview.context["form"].initial["signed"]},
    )


def no_truck_yet(who):
    making.make_carrier()
    return reverse("start_test")


FIRST_DAY = [
    Creating(
        name="the first location",
        form=FirstLocationForm,
        sender="ada",
        prepare=lambda who: reverse("welcome_location"),
        data={
            "name": "Dry Bridge",
            "code": "DB",
            "address": "4 Mill Road",
            "region": "CA-ON",
            "time_zone": "America/Toronto",
            "paper": "letter",
        },
        other=("name", "Sand Bridge"),
        needed="code",
        counts=Location,
    ),
    Creating(
        name="a first person",
        form=FirstPersonForm,
        sender="ada",
        prepare=first_person,
        data={
            "full_name": "Ivo Stone",
            "username": "ivo",
            "password": "a long enough secret",
        },
        other=("full_name", "Ivo Stoner"),
        needed="username",
        counts=User,
    ),
    Creating(
        name="a first supplier",
        form=FirstSupplierForm,
        sender="ada",
        prepare=lambda who: reverse("welcome_suppliers"),
        data={
            "name": "Umber Tillage Works",
            "crate_type": "Panel crate 60",
            "deposit": "185.00",
            "full_days": "90",
            "decline": "none",
        },
        other=("name", "Umber Plow Works"),
        needed="deposit",
        counts=Supplier,
    ),
    Creating(
        name="a first carrier",
        form=FirstCarrierForm,
        sender="ada",
        prepare=lambda who: reverse("welcome_carriers"),
        data={"name": "Ibis Haulage", "scac": "IBSH"},
        other=("name", "Ibis Cartage"),
        needed="name",
        counts=Carrier,
    ),
    Creating(
        name="the usual account numbers",
        form=UsualNumbersForm,
        sender="ada",
        prepare=lambda who: reverse("welcome_accounts"),
        data={},
        other=None,
        needed="",
        counts=Once,
    ),
    Creating(
        name="a test truck",
        form=TestTruckForm,
        sender="rosa",
        prepare=no_truck_yet,
        data={},
        other=None,
        needed="",
        counts=Delivery,
    ),
    Creating(
        name="a list from a file",
        form=TakeListForm,
        sender="ada",
        prepare=carriers_shown,
        data={},
        other=None,
        needed="",
        counts=Carrier,
    ),
]
