"""Every form that takes photos, as one table; see ``tests/house/test_photo_forms.py``."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from claims.actions.claim.making import Pick, supplement_claim
from claims.actions.claim.steps import send_claim
from claims.actions.claim.supplements import send_supplement
from claims.actions.letters.notices import NoticeStep, send_notice, write_notice
from claims.forms.bench.findings import EditFindingForm, FindingForm
from claims.forms.bench.inspections import OpenCrateForm, ReleaseHoldForm
from claims.forms.bench.part_tags import WaivePartForm
from claims.forms.bench.setups import LineForm
from claims.forms.claim.bankruptcies import BankruptcyForm
from claims.forms.claim.payments import DecidePaymentForm
from claims.forms.claim.remittances import RemittanceForm
from claims.forms.claim.steps import ReceiptForm
from claims.forms.crates.packaging import ReleasePackagingForm
from claims.forms.letters.claim_letters import LetterProofForm
from claims.forms.receiving.signing import ImageForm, SignForm
from claims.forms.receiving.tailgate import LookForm
from inventory.forms.core.base import HouseForm
from inventory.forms.crates.life import CheckCrateForm
from inventory.forms.evidence.photos import EvidenceForm
from inventory.forms.memos.suspense import AnswerForm
from inventory.forms.receiving.trucks import LogDeliveryForm
from inventory.forms.returns.returns import ShipReturnForm
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, second_finding, set_stage, step
from tests.creating import crate_at_dock, finding, setup_line, truck_with_bill
from tests.creating_money import DECISION, held
from tests.creating_remittances import open_claims
from tests.creating_returns import staged_return
from tests.photo_claim_forms import ACTS, WRONG, deciding, preparing

KEPT_AFTER = {LogDeliveryForm}
"""Forms whose photo belongs to the very row that they make: kept once it is made."""


@dataclass(frozen=True)
class PhotoForm:
    """One form with photos, and a good sending of it.

    ``prepare`` makes what the form needs and returns its address and what a good
    sending says. ``field`` takes the photos. ``typed`` is a field whose words must
    stay, empty where the form has photos only, and ``wrong`` a field and a value that
    the form refuses. One that ``needs_one`` is not saved without any photo.
    """

    name: str
    form: type[HouseForm]
    sender: str
    prepare: Callable[[Any], tuple[str, dict[str, Any]]]
    field: str
    typed: str
    wrong: tuple[str, str]
    needs_one: bool = False


FINDING = {
    "crate_condition": "sound",
    "damage_kind": "cracked",
    "severity": "severe",
    "facts": "Cracked at the left hinge, 12 cm.",
    "cause": "transit",
    "parts-TOTAL_FORMS": "4",
    "parts-INITIAL_FORMS": "0",
}


def answered(who):
    address, more = held("take_suspense")(who)
    answer = {"answered_on": "2026-04-28", "answered_by": "J. Hale, email"}
    return address, DECISION | more | answer


def new_finding(who):
    return finding(who), FINDING


def old_finding(who):
    row = set_stage(who).finding
    return reverse("edit_finding", args=[row.pk]), FINDING | {"version": row.version}


def closed_crate(who):
    shipment = making.make_shipment(location=who.riverside)
    truck = making.make_signed_delivery(location=who.riverside)
    crate = making.make_crate(shipment, delivery=truck, look="clear")
    return reverse("open_crate", args=[crate.pk]), {}


RELEASE = {"how": "inspected", "reason": "Their inspector was here on 11 March."}


def setup_hold(who):
    unit = making.make_unit(making.make_shipment(location=who.riverside))
    return reverse("release_hold", args=[making.make_hold(unit).pk]), RELEASE


def tagged_part(who):
    tag = making.make_part_tag(set_stage(who).finding)
    return reverse("waive_part", args=[tag.pk]), {"version": tag.version}


def packaging_hold(who):
    shipment = making.make_shipment(location=who.riverside)
    hold = making.make_packaging_hold(making.make_reusable(shipment))
    making.make_evidence(shipment=shipment, kind="inspection-report")
    address = reverse("release_packaging", args=[hold.pk])
    return address, RELEASE | {"version": hold.version}


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


def supplement_receipt(who):
    stage = set_stage(who)
    claim = claim_it(who, stage)
    send_claim(claim=claim, how="email", step=step(who, claim))
    pick = Pick(second_finding(stage, repair_minutes=30), "repair")
    row = supplement_claim(claim=claim, picks=[pick], step=step(who, claim))
    send_supplement(supplement=row, how="email", step=step(who, row))
    row.refresh_from_db()
    data = {"version": row.version, "on": "2026-03-16", "words": "Signed by Otis."}
    return reverse("receive_supplement", args=[row.pk]), data


def notice_receipt(who):
    stage = set_stage(who)
    row = write_notice(
        shipment=stage.shipment,
        delivery=stage.delivery,
        kind="concealed",
        addressee="Plainsway, claims",
        text="Subject",
        person=who.mina,
        at=AT,
    )
    sent = NoticeStep(who.mina, AT, TODAY, row.version, TODAY)
    send_notice(notice=row, how="email", step=sent)
    row.refresh_from_db()
    data = {"version": row.version, "on": "2026-03-16", "words": "Signed by Otis."}
    return reverse("receive_notice", args=[row.pk]), data


def letter_receipt(who):
    claim = claim_it(who, set_stage(who))
    row = making.make_claim_letter(claim, confirmed_by=who.mina, sent_on=TODAY)
    data = {
        "version": row.version,
        "on": "2026-03-16",
        "how": "signature",
        "words": "Signed by Otis.",
    }
    return reverse("receive_claim_letter", args=[row.pk]), data


def inspection(who):
    data = {
        "version": "1",
        "look": "exception",
        "where": "top",
        "kind": "dented",
        "severity": "slight",
        "note": "Dented at the lid.",
        "no_photo_reason": "too dark to see",
    }
    return crate_at_dock(who), data


def signing(who):
    delivery, _ = truck_with_bill(who)
    data = {
        "version": "1",
        "how_signed": "signed",
        "driver_signed_name": "Lou Parr",
        "words_stand_on": "both",
        "no_photo_reason": "too dark to see",
    }
    return reverse("sign_receipt", args=[delivery.pk]), data


def comparing(who):
    shipment = making.make_shipment(location=who.riverside)
    delivery = making.make_signed_delivery(
        location=who.riverside, signed_by=who.rosa, carrier=shipment.carrier
    )
    row = making.make_handover(delivery, shipment)
    making.make_evidence(
        delivery=delivery, shipment=shipment, kind="carrier-image", crate=None
    )
    data = {"version": "1", "result": "matches"}
    return reverse("compare_image", args=[row.pk]), data


def bankrupt_carrier(who):
    carrier = claim_it(who, set_stage(who)).shipment.carrier
    data = {
        "petition_on": "2026-03-02",
        "court": "Bankr. D. Neb.",
        "case_number": "26-40117",
    }
    return reverse("record_bankruptcy", args=[carrier.pk]), data


def more_photos(who):
    delivery, _ = truck_with_bill(who)
    data = {"kind": "load", "caption": "The torn corner"}
    return f"{reverse('add_evidence')}?delivery={delivery.pk}", data


PHOTO_FORMS = [
    PhotoForm(
        name="more photos",
        form=EvidenceForm,
        sender="rosa",
        prepare=more_photos,
        field="photos",
        typed="caption",
        wrong=("kind", "no kind"),
        needs_one=True,
    ),
    PhotoForm(
        name="an inspection at delivery",
        form=LookForm,
        sender="rosa",
        prepare=inspection,
        field="photos",
        typed="note",
        wrong=("severity", ""),
    ),
    PhotoForm(
        name="the signature",
        form=SignForm,
        sender="rosa",
        prepare=signing,
        field="photo",
        typed="driver_signed_name",
        wrong=("how_signed", "stamped"),
    ),
    PhotoForm(
        name="the carrier's POD",
        form=ImageForm,
        sender="rosa",
        prepare=comparing,
        field="photo",
        typed="result",
        wrong=("result", "maybe"),
    ),
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
        name="a line of a setup",
        form=LineForm,
        sender="tomas",
        prepare=lambda who: (setup_line(who), {"result": "right", "note": "Two keys."}),
        field="photos",
        typed="note",
        wrong=("result", "maybe"),
    ),
    PhotoForm(
        name="a crate opened",
        form=OpenCrateForm,
        sender="tomas",
        prepare=closed_crate,
        field="photos",
        typed="",
        wrong=("photos_kept", "no photo"),
    ),
    PhotoForm(
        name="a part waived by the carrier",
        form=WaivePartForm,
        sender="mina",
        prepare=tagged_part,
        field="photos",
        typed="",
        wrong=("photos_kept", "no photo"),
        needs_one=True,
    ),
    PhotoForm(
        name="a setup hold released",
        form=ReleaseHoldForm,
        sender="mina",
        prepare=setup_hold,
        field="photos",
        typed="reason",
        wrong=("reason", ""),
    ),
    PhotoForm(
        name="a packaging hold released",
        form=ReleasePackagingForm,
        sender="mina",
        prepare=packaging_hold,
        field="photos",
        typed="reason",
        wrong=("reason", ""),
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
    PhotoForm(
        name="the receipt of a supplement",
        form=ReceiptForm,
        sender="mina",
        prepare=supplement_receipt,
        field="photo",
        typed="words",
        wrong=("on", "yesterday"),
    ),
    PhotoForm(
        name="the receipt of a notice",
        form=ReceiptForm,
        sender="mina",
        prepare=notice_receipt,
        field="photo",
        typed="words",
        wrong=("on", "yesterday"),
    ),
    PhotoForm(
        name="the receipt of a letter about a claim",
        form=LetterProofForm,
        sender="mina",
        prepare=letter_receipt,
        field="photo",
        typed="words",
        wrong=("on", "yesterday"),
    ),
]

PHOTO_FORMS.append(
    PhotoForm(
        name="the court's paper of a bankruptcy",
        form=BankruptcyForm,
        sender="mina",
        prepare=bankrupt_carrier,
        field="documents",
        typed="court",
        wrong=("petition_on", "yesterday"),
    )
)

PHOTO_FORMS.append(
    PhotoForm(
        name="the supplier's written answer",
        form=AnswerForm,
        sender="abel",
        prepare=answered,
        field="documents",
        typed="answered_by",
        wrong=("answered_on", "yesterday"),
    )
)

PHOTO_FORMS += [
    PhotoForm(
        name=f"the page {name}",
        form=form,
        sender="mina",
        prepare=preparing(name, before, data),
        field="documents",
        typed=typed,
        wrong=WRONG.get(form, ("on", "yesterday")),
    )
    for form, name, before, data, typed in ACTS
]
PHOTO_FORMS.append(
    PhotoForm(
        name="a remittance",
        form=RemittanceForm,
        sender="abel",
        prepare=open_claims,
        field="documents",
        typed="reference",
        wrong=("on", "yesterday"),
    )
)
PHOTO_FORMS.append(
    PhotoForm(
        name="a decision on a payment",
        form=DecidePaymentForm,
        sender="mina",
        prepare=deciding,
        field="documents",
        typed="note",
        wrong=("choice", "maybe"),
    )
)
