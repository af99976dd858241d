"""Every form that takes photos, as one table; see ``tests/house/test_photo_forms.py``."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from claims.actions.claim.steps import send_claim
from claims.forms.bench.findings import EditFindingForm, FindingForm
from claims.forms.claim.steps import ReceiptForm
from inventory.forms.core.base import HouseForm
from inventory.forms.crates.life import CheckCrateForm
from inventory.forms.receiving.trucks import LogDeliveryForm
from inventory.forms.returns.returns import ShipReturnForm
from tests import making
from tests.claims.stage import claim_it, set_stage, step
from tests.creating import finding
from tests.creating_returns import staged_return

KEPT_AFTER = {LogDeliveryForm}
"""Forms whose photo belongs to the very row that they make: kept once it is made."""


@dataclass(frozen=True)
class PhotoForm:
    """One form with photos, and a good sending of it.

    ``prepare`` makes what the form needs and returns its address and what a good
    sending says. ``field`` takes the photos. ``typed`` is a field whose words must
    stay, and ``wrong`` a field and a value that the form refuses.
    """

    name: str
    form: type[HouseForm]
    sender: str
    prepare: Callable[[Any], tuple[str, dict[str, Any]]]
    field: str
    typed: str
    wrong: tuple[str, str]


FINDING = {
    "crate_condition": "sound",
    "damage_kind": "cracked",
    "severity": "severe",
    "facts": "Cracked at the left hinge, 12 cm.",
    "cause": "transit",
}


def new_finding(who):
    return finding(who), FINDING


def old_finding(who):
    row = set_stage(who).finding
    return reverse("edit_finding", args=[row.pk]), FINDING | {"version": row.version}


def check(who):
    crate = making.make_reusable(making.make_shipment(location=who.riverside))
    data = {"version": crate.version, "note": "Split at the post."}
    return reverse("check_crate", args=[crate.pk]), data


def shipping(who):
    address, more = staged_return(who)
    data = {
        "left_on": "2026-04-01",
        "billed_on": "2026-04-01",
        "driver_name": "Lou Parr",
        "driver_count": "1",
        "how_signed": "signed",
    }
    return address, data | more


def receipt(who):
    claim = claim_it(who, set_stage(who))
    send_claim(claim=claim, how="email", step=step(who, claim))
    claim.refresh_from_db()
    data = {"version": claim.version, "on": "2026-03-16", "words": "Signed by Otis."}
    return reverse("record_receipt", args=[claim.pk]), data


PHOTO_FORMS = [
    PhotoForm(
        name="a new finding",
        form=FindingForm,
        sender="tomas",
        prepare=new_finding,
        field="photos",
        typed="facts",
        wrong=("severity", ""),
    ),
    PhotoForm(
        name="a finding changed",
        form=EditFindingForm,
        sender="tomas",
        prepare=old_finding,
        field="photos",
        typed="facts",
        wrong=("severity", ""),
    ),
    PhotoForm(
        name="the shipping of a return",
        form=ShipReturnForm,
        sender="rosa",
        prepare=shipping,
        field="photos",
        typed="driver_name",
        wrong=("how_signed", ""),
    ),
    PhotoForm(
        name="a crate check",
        form=CheckCrateForm,
        sender="tomas",
        prepare=check,
        field="photos",
        typed="note",
        wrong=("note", "x" * 301),
    ),
    PhotoForm(
        name="the receipt of a claim",
        form=ReceiptForm,
        sender="mina",
        prepare=receipt,
        field="photo",
        typed="words",
        wrong=("on", "yesterday"),
    ),
]
