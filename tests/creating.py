"""Every form that creates a row or moves money, as one table.

Each line is tried one sending after another in ``tests/house/test_creating_forms.py``,
and twenty at once on both databases in ``tests/race/test_creating_forms.py``.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db.models import Model
from django.http import QueryDict
from django.urls import reverse

from claims.actions.claim.steps import send_claim
from claims.actions.letters.claim_letters import draft_letter
from claims.actions.letters.packaging import digest_of, write_letter
from claims.actions.packet.lighter_files import draft_lighter
from claims.actions.packet.packets import build_packet, draft_packet
from claims.forms.bench.findings import FindingForm
from claims.forms.bench.inspections import InspectForm
from claims.forms.bench.leaving import BackForm, LeaveForm
from claims.forms.bench.minutes import BookMinutesForm, TakeBackForm
from claims.forms.bench.model_entries import ModelEntryForm
from claims.forms.bench.part_tags import TagPartForm
from claims.forms.bench.setup_lists import SetupListForm, lines_shown
from claims.forms.bench.setups import (
    BeginSetupForm,
    DecideForm,
    LineForm,
    ReleaseUnsignedForm,
    SignOffForm,
)
from claims.forms.claim.bankruptcies import BankruptcyForm
from claims.forms.claim.making import MakeClaimForm, SupplementForm
from claims.forms.claim.payments import (
    DecidePaymentForm,
    PaymentForm,
    ReversePaymentForm,
)
from claims.forms.claim.steps import (
    GivePaperForm,
    NoticeForm,
    OverrideForm,
    PaperForm,
)
from claims.forms.crates.packaging import ConfirmLetterForm as ConfirmHoldForm
from claims.forms.letters.claim_letters import ConfirmLetterForm
from claims.forms.packet.files import ConfirmForm, ConfirmLighterForm
from claims.forms.receiving.signing import NoteForm as ReceiptNoteForm
from claims.forms.receiving.tailgate import LookForm
from claims.models import (
    BookedMinutes,
    Claim,
    ClaimLetter,
    ClaimPayment,
    ClaimStep,
    Deadline,
    DeadlineOverride,
    Departure,
    Finding,
    Inspection,
    LighterFile,
    LineDecision,
    ModelEntry,
    Notice,
    Packet,
    PaperDecision,
    PaperTask,
    PartTag,
    Setup,
    SetupList,
    SetupPhoto,
    SetupReading,
    SignOff,
    Supplement,
)
from claims.rules.bench.setup_lists import KINDS
from claims.views.letters.writing import kind_named, order_of
from inventory.actions.evidence.keeping import keep_evidence
from inventory.forms.core.base import HouseForm
from inventory.forms.evidence.markup import MarkPhotoForm
from inventory.forms.receiving.bills import BillForm, CratesForm
from inventory.forms.receiving.expected import AddExpectedForm, TakeExpectedForm
from inventory.forms.receiving.over_pieces import OverAnswerForm
from inventory.forms.receiving.papers import UnitForm
from inventory.forms.receiving.trucks import LogDeliveryForm
from inventory.models import (
    CarrierBankruptcy,
    Crate,
    Delivery,
    Event,
    ExpectedDelivery,
    Handover,
    PhotoMarkup,
    ReceiptNote,
    SentDocument,
    Unit,
)
from inventory.rules.receiving.announced import Announced, AnnouncedCrate
from inventory.views.core.clock import today_at
from tests import making
from tests.claims.stage import claim_it, second_finding, set_stage, step
from tests.house.access_rows import make_packet
from tests.photo_claim_forms import new_payment, old_payment
from tests.pictures import grainy, jpeg

ANNOUNCED_FOR = date.today()  # noqa: DTZ011 - any day near the clock's own
"""The day of an announcement: its form takes days about today."""

NO_LINES = {
    f"{name}-{what}_FORMS": "0"
    for name in ("target", "adjuster")
    for what in ("TOTAL", "INITIAL")
}
"""What a page without repeated lines sends of them."""

TRUCK_KEY = 900_001
"""The key of a truck that a form names."""


@dataclass(frozen=True)
class Creating:
    """One creating form, and a good sending of it.

    ``prepare`` makes what the form needs and returns its address, or its address and
    more data. ``sender`` names one of the cast. ``data`` is a good sending, ``other``
    a field and value that make another body of it, ``needed`` a field without which
    the form comes back; a form that is only a button has neither. ``counts`` is the
    table in which one row more is expected.
    """

    name: str
    form: type[HouseForm]
    sender: str
    prepare: Callable[[Any], str | tuple[str, dict[str, Any]]]
    data: dict[str, str]
    other: tuple[str, str] | None
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


def truck_with_bill(who, **over):
    delivery = making.make_delivery(location=who.riverside, **over)
    shipment = making.make_shipment(
        location=who.riverside, carrier=delivery.carrier, supplier=None
    )
    making.make_handover(delivery, shipment)
    return delivery, shipment


def announcement(who):
    return reverse("add_expected"), {"supplier": making.make_supplier().pk}


def notice_shown(who):
    crate = AnnouncedCrate(2, "M-1")
    bills = [Announced("77-1", "", "", ANNOUNCED_FOR, (crate,))]
    form = TakeExpectedForm.showing(
        who.riverside, making.make_supplier(), bills, "notice.csv"
    )
    return reverse("import_expected"), {"signed": form.initial["signed"]}


def crates(who):
    _, shipment = truck_with_bill(who, pk=TRUCK_KEY)
    return reverse("add_crates", args=[shipment.pk])


def machine(who):
    _, shipment = truck_with_bill(who)
    return reverse("add_unit", args=[shipment.pk])


def over_crate(who):
    delivery, shipment = truck_with_bill(who)
    crate = making.make_crate(shipment, delivery=delivery, is_over=True)
    return reverse("answer_over", args=[crate.pk])


def crate_at_dock(who):
    delivery, shipment = truck_with_bill(who)
    crate = making.make_crate(shipment, delivery=delivery)
    return reverse("look", args=[crate.pk])


def signed_truck(who):
    delivery = making.make_signed_delivery(location=who.riverside, signed_by=who.rosa)
    return reverse("note_receipt", args=[delivery.pk])


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


def inspection(who):
    unit = opened_machine(who)
    return reverse("inspect_unit", args=[unit.pk, "uncrating"])


def begun(who):
    """Return a machine whose setup has begun, all but one line right."""
    unit = opened_machine(who)
    standing = making.make_setup(unit)
    for line in standing.setup_list.rows:
        if line.key != "registration":
            readings = [
                {
                    "point": point,
                    "figure": "14",
                    "unit": line.readings.unit,
                    "text": "14",
                }
                for point in (line.readings.points if line.readings else ())
            ]
            making.make_setup_reading(standing, line=line.key, readings=readings)
    return unit


def kept_photo(who, **about):
    return keep_evidence(
        person=who.rosa,
        at=making.ARRIVED,
        upload=SimpleUploadedFile("photo.jpg", jpeg()),
        client_id=uuid4(),
        kind="damage",
        **about,
    ).evidence


def setup_line(who):
    return reverse("read_line", args=[begun(who).pk, "keys"])


def wrong_line(who):
    unit = begun(who)
    row = making.make_setup_reading(
        unit.setups.get(), line="keys", result="wrong", note="One key is bent."
    )
    photo = kept_photo(who, shipment=unit.shipment, unit=unit)
    SetupPhoto.objects.create(reading=row, evidence=photo)
    return reverse("decide_line", args=[unit.pk, "keys"])


def list_sent(kind="tractor"):
    """Return the lines of a setup list as its form sends them."""
    rows = lines_shown(KINDS[kind].lines, ())
    sent = {
        f"line-{at}-{name}": "on" if value is True else value
        for at, row in enumerate(rows)
        for name, value in row.items()
        if value is not False
    }
    counts = {"line-TOTAL_FORMS": len(rows), "line-INITIAL_FORMS": len(rows)}
    return {**sent, **counts, "base": 1}


def setup_list(who):
    """Return the page of a list whose first version is stored, and its lines."""
    making.make_setup_list("tractor", made_by=who.mina)
    return reverse("edit_setup_list", args=["tractor"]), list_sent()


def released(who):
    """Return a machine that was signed off today."""
    unit = opened_machine(who)
    making.make_sign_off(unit, signed_on=today_at(unit.shipment.location))
    return unit


def gone(who):
    unit = released(who)
    making.make_departure(unit)
    return reverse("take_back_unit", args=[unit.pk])


def leaving(who):
    unit = released(who)
    day = today_at(unit.shipment.location)
    return reverse("leave_unit", args=[unit.pk]), {"left_on": day.isoformat()}


def sign_off(who):
    unit = begun(who)
    day = today_at(unit.shipment.location)
    address = reverse("sign_off_setup", args=[unit.pk])
    return address, {"by_registration": day.isoformat()}


def damaged(who):
    """Return where time is booked on a machine with one finding, as damage of it."""
    stage = set_stage(who)
    address = reverse("book_minutes", args=[stage.unit.pk])
    day = today_at(stage.shipment.location).isoformat()
    return address, {"finding": str(stage.finding.pk), "done_on": day}


def booked(who):
    unit = set_stage(who).unit
    return reverse("reverse_minutes", args=[making.make_booked(unit).pk])


def replaced(who):
    return reverse("tag_part", args=[set_stage(who).finding.pk])


def notice(who):
    shipment = opened_machine(who).shipment
    return reverse("write_notice", args=[shipment.pk, "concealed"])


def claim(who):
    return reverse("make_claim", args=[set_stage(who).shipment.pk])


def supplement(who):
    stage = set_stage(who)
    made = claim_it(who, stage)
    second_finding(stage, repair_minutes=30)
    return reverse("supplement_claim", args=[made.pk])


def paper(who):
    made = claim_it(who, set_stage(who))
    return reverse("decide_paper", args=[made.pk, "origin-condition"])


def missing_paper(who):
    made = claim_it(who, set_stage(who))
    return reverse("give_paper", args=[made.pk, "origin-condition"])


def deadline(who):
    made = claim_it(who, set_stage(who))
    row = Deadline.objects.filter(shipment=made.shipment, superseded_at=None).first()
    return reverse("override_deadline", args=[row.pk])


def packet(who):
    """Make a claim; the page sends back what was previewed."""
    claim = claim_it(who, set_stage(who))
    now = step(who, claim, today=today_at(claim.location))
    draft = draft_packet(claim=claim, step=now)
    seen = {"size": str(draft.tree.size), "digest": draft.digest, "originals": "along"}
    return reverse("build_packet", args=[claim.pk]), {**seen, "version": claim.version}


def claim_letter(who):
    """Send a claim; its tracer's page sends back what it shows."""
    claim = claim_it(who, set_stage(who))
    make_packet(claim, who.mina)
    send_claim(claim=claim, how="email", step=step(who, claim))
    claim.refresh_from_db()
    order = order_of(claim, kind_named("tracer"), who.mina, QueryDict())
    seen = {"answers": "", "digest": draft_letter(order).digest}
    return reverse("write_claim_letter", args=[claim.pk, "tracer"]), seen


def lighter(who):
    """Make a claim file too large for a portal; the page sends back what it showed."""
    stage = set_stage(who)
    claim = claim_it(who, stage)
    for seed in range(3):
        keep_evidence(
            person=who.tomas,
            at=making.ARRIVED,
            upload=SimpleUploadedFile("a.jpg", grainy(seed)),
            client_id=uuid4(),
            kind="damage",
            shipment=stage.shipment,
        )
    today = today_at(claim.location)
    made = build_packet(claim=claim, person=who.mina, at=making.ARRIVED, today=today)
    draft = draft_lighter(packet=made, mb=1, today=today)
    address = reverse("make_lighter", args=[made.pk])
    return f"{address}?mb=1", {"mb": 1, "digest": draft.digest}


def hold_letter(who):
    """Hold a crate; the page sends back the digest of the letter that was read."""
    hold = making.make_packaging_hold(
        making.make_reusable(making.make_shipment(location=who.riverside))
    )
    today = today_at(who.riverside)
    letter = write_letter(hold, "carrier", person=who.mina, today=today)
    seen = {"digest": digest_of(letter), "version": hold.version}
    return reverse("ask_carrier", args=[hold.pk]), seen


def photo_to_mark(who):
    photo = kept_photo(who, shipment=making.make_shipment(location=who.riverside))
    return reverse("mark_photo", args=[photo.pk])


CREATING = [
    Creating(
        name="marks on a photo",
        form=MarkPhotoForm,
        sender="rosa",
        prepare=photo_to_mark,
        data={
            "version": "0",
            "mark-TOTAL_FORMS": "12",
            "mark-INITIAL_FORMS": "0",
            "mark-0-kind": "words",
            "mark-0-x1": "10",
            "mark-0-y1": "20",
            "mark-0-text": "Slat broken",
        },
        other=("mark-0-text", "Slat cracked"),
        needed="mark-0-text",
        counts=PhotoMarkup,
    ),
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
        needed="pro_number",
        counts=Handover,
    ),
    Creating(
        name="an expected bill",
        form=AddExpectedForm,
        sender="rosa",
        prepare=announcement,
        data={
            "pro_number": "77-1",
            "expected_on": ANNOUNCED_FOR.isoformat(),
            "pieces": "2",
            "marks": "M-1",
        },
        other=("pro_number", "77-2"),
        needed="pieces",
        counts=ExpectedDelivery,
    ),
    Creating(
        name="the bills of a ship notice",
        form=TakeExpectedForm,
        sender="rosa",
        prepare=notice_shown,
        data={},
        other=("signed", "another preview"),
        needed="signed",
        counts=ExpectedDelivery,
    ),
    Creating(
        name="crates",
        form=CratesForm,
        sender="rosa",
        prepare=crates,
        data={"delivery": str(TRUCK_KEY), "count": "1", "kind": "one-way"},
        other=("count", "2"),
        needed="count",
        counts=Crate,
    ),
    Creating(
        name="a carrier's answer about an over crate",
        form=OverAnswerForm,
        sender="rosa",
        prepare=over_crate,
        data={"answer": "left", "on": "2026-03-11", "note": "Letter 4411."},
        other=("answer", "picked-up"),
        needed="answer",
        counts=Event,
    ),
    Creating(
        name="a machine",
        form=UnitForm,
        sender="rosa",
        prepare=machine,
        data={"model": "TX 48", "serial": "NEW-1", "weight_unit": "lb"},
        other=("serial", "NEW-2"),
        needed="model",
        counts=Unit,
    ),
    Creating(
        name="an inspection at delivery",
        form=LookForm,
        sender="rosa",
        prepare=crate_at_dock,
        data={
            "version": "1",
            "look": "exception",
            "where": "top",
            "kind": "dented",
            "severity": "slight",
            "no_photo_reason": "too dark to see",
        },
        other=("severity", "severe"),
        needed="kind",
        counts=Inspection,
    ),
    Creating(
        name="a note on a receipt",
        form=ReceiptNoteForm,
        sender="rosa",
        prepare=signed_truck,
        data={"text": "Also wet at the base."},
        other=("text", "Also wet at side 2."),
        needed="text",
        counts=ReceiptNote,
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
            "parts-TOTAL_FORMS": "4",
            "parts-INITIAL_FORMS": "0",
        },
        other=("facts", "Cracked at the right hinge."),
        needed="severity",
        counts=Finding,
    ),
    Creating(
        name="an inspection",
        form=InspectForm,
        sender="tomas",
        prepare=inspection,
        data={"crate_condition": "sound", "note": "Rub marks on the hood."},
        other=("note", "Rub marks on both fenders."),
        needed="crate_condition",
        counts=Inspection,
    ),
    Creating(
        name="a setup",
        form=BeginSetupForm,
        sender="tomas",
        prepare=lambda who: reverse("begin_setup", args=[opened_machine(who).pk]),
        data={"kind": "ride-on-mower"},
        other=("kind", "tractor"),
        needed="kind",
        counts=Setup,
    ),
    Creating(
        name="a line of a setup",
        form=LineForm,
        sender="tomas",
        prepare=setup_line,
        data={"result": "right", "note": "Two keys."},
        other=("note", "Three keys."),
        needed="result",
        counts=SetupReading,
    ),
    Creating(
        name="a decision on a line",
        form=DecideForm,
        sender="tomas",
        prepare=wrong_line,
        data={"decision": "adjustment", "reason": "It can be bent back."},
        other=("reason", "By hand."),
        needed="decision",
        counts=LineDecision,
    ),
    Creating(
        name="a sign-off",
        form=SignOffForm,
        sender="tomas",
        prepare=sign_off,
        data={"who_registration": "Tomas Brandt"},
        other=("who_registration", "Mina Okoro"),
        needed="who_registration",
        counts=SignOff,
    ),
    Creating(
        name="booked time",
        form=BookMinutesForm,
        sender="tomas",
        prepare=damaged,
        data={"work": "repair", "minutes": "45"},
        other=("minutes", "50"),
        needed="minutes",
        counts=BookedMinutes,
    ),
    Creating(
        name="booked time taken back",
        form=TakeBackForm,
        sender="tomas",
        prepare=booked,
        data={"reason": "Booked on the wrong machine."},
        other=("reason", "Booked twice."),
        needed="reason",
        counts=BookedMinutes,
    ),
    Creating(
        name="a tagged part",
        form=TagPartForm,
        sender="tomas",
        prepare=replaced,
        data={"part": "Deck shell", "shelf": "C4"},
        other=("shelf", "C5"),
        needed="part",
        counts=PartTag,
    ),
    Creating(
        name="a machine that leaves",
        form=LeaveForm,
        sender="rosa",
        prepare=leaving,
        data={"way": "sold", "to": "Lou Parr"},
        other=("to", "Ada Parr"),
        needed="to",
        counts=Departure,
    ),
    Creating(
        name="a machine that is back",
        form=BackForm,
        sender="rosa",
        prepare=gone,
        data={"reason": "Recorded by mistake."},
        other=("reason", "The customer sent it back."),
        needed="reason",
        counts=Departure,
    ),
    Creating(
        name="a version of a setup list",
        form=SetupListForm,
        sender="mina",
        prepare=setup_list,
        data={"reason": "The oil is asked for by its grade."},
        other=("reason", "The oil's grade is asked for."),
        needed="reason",
        counts=SetupList,
    ),
    Creating(
        name="a model entry",
        form=ModelEntryForm,
        sender="mina",
        prepare=lambda who: reverse("enter_model", args=[opened_machine(who).pk]),
        data={
            "kind": "tractor",
            "manual": "Operator's manual 4821",
            **NO_LINES,
        },
        other=("manual", "Operator's manual 4822"),
        needed="manual",
        counts=ModelEntry,
    ),
    Creating(
        name="a release without a sign-off",
        form=ReleaseUnsignedForm,
        sender="mina",
        prepare=lambda who: reverse("release_unsigned", args=[opened_machine(who).pk]),
        data={"reason": "It goes to the training shop."},
        other=None,
        needed="reason",
        counts=SignOff,
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
        name="a claim",
        form=MakeClaimForm,
        sender="mina",
        prepare=claim,
        data={
            "take_1": "on",
            "outcome_1": "repair",
            "claimant": "us",
            "basis": "invoice",
        },
        other=("basis", "destination"),
        needed="claimant",
        counts=Claim,
    ),
    Creating(
        name="a supplement",
        form=SupplementForm,
        sender="mina",
        prepare=supplement,
        data={"take_2": "on", "outcome_2": "repair", "version": "1"},
        other=("salvage_2", "10.00"),
        needed="outcome_2",
        counts=Supplement,
    ),
    Creating(
        name="a document that is not needed",
        form=PaperForm,
        sender="mina",
        prepare=paper,
        data={"reason": "The carrier inspected it himself."},
        other=("reason", "The carrier waived it."),
        needed="reason",
        counts=PaperDecision,
    ),
    Creating(
        name="a document given to someone",
        form=GivePaperForm,
        sender="mina",
        prepare=missing_paper,
        data={
            "owner": "tomas",
            "by_day": (ANNOUNCED_FOR + timedelta(days=7)).isoformat(),
            "note": "Ask their shipping desk.",
        },
        other=("note", "Ask their quality desk."),
        needed="by_day",
        counts=PaperTask,
    ),
    Creating(
        name="a carrier's bankruptcy",
        form=BankruptcyForm,
        sender="mina",
        prepare=lambda _who: reverse(
            "record_bankruptcy", args=[making.make_carrier().pk]
        ),
        data={
            "petition_on": "2026-03-02",
            "court": "Bankr. D. Neb.",
            "case_number": "26-40117",
        },
        other=("court", "Bankr. N.D. Iowa"),
        needed="court",
        counts=CarrierBankruptcy,
    ),
    Creating(
        name="a date of our own",
        form=OverrideForm,
        sender="mina",
        prepare=deadline,
        data={"due": "2026-03-20", "reason": "The owner is away after it."},
        other=("due", "2026-03-21"),
        needed="due",
        counts=DeadlineOverride,
    ),
    Creating(
        name="a payment",
        form=PaymentForm,
        sender="abel",
        prepare=new_payment,
        data={
            "version": "1",
            "on": "2026-03-10",
            "amount": "100.00",
            "method": "check",
        },
        other=("amount", "120.00"),
        needed="amount",
        counts=ClaimPayment,
    ),
    Creating(
        name="a payment reversed",
        form=ReversePaymentForm,
        sender="abel",
        prepare=old_payment("reverse_payment"),
        data={"version": "1", "reason": "It bounced."},
        other=("reason", "Entered twice."),
        needed="reason",
        counts=ClaimPayment,
    ),
    Creating(
        name="a decision on a payment",
        form=DecidePaymentForm,
        sender="mina",
        prepare=old_payment("decide_payment"),
        data={"version": "1", "on": "2026-03-10", "choice": "part"},
        other=("note", "For the deck."),
        needed="choice",
        counts=ClaimStep,
    ),
    Creating(
        name="a claim file",
        form=ConfirmForm,
        sender="mina",
        prepare=packet,
        data={"version": "1"},
        other=("act", "Another button"),
        needed="version",
        counts=Packet,
    ),
    Creating(
        name="a letter about a claim",
        form=ConfirmLetterForm,
        sender="mina",
        prepare=claim_letter,
        data={},
        other=("act", "Another button"),
        needed="digest",
        counts=ClaimLetter,
    ),
    Creating(
        name="a letter about a packaging hold",
        form=ConfirmHoldForm,
        sender="mina",
        prepare=hold_letter,
        data={"version": "1"},
        other=("act", "Another button"),
        needed="version",
        counts=SentDocument,
    ),
    Creating(
        name="a lighter edition",
        form=ConfirmLighterForm,
        sender="mina",
        prepare=lighter,
        data={},
        other=("act", "Another button"),
        needed="digest",
        counts=LighterFile,
    ),
]
