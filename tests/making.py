"""Plain functions that make sensible whole rows. No randomness, no clock."""

import hashlib
import itertools
import uuid
from datetime import UTC, date, datetime

from claims.models import (
    BookedMinutes,
    Claim,
    ClaimLetter,
    ClaimLine,
    ClaimPayment,
    Departure,
    Finding,
    FindingPhoto,
    GoingOnCost,
    Inspection,
    ModelEntry,
    Notice,
    OverlapAnswer,
    PaperTask,
    PartTag,
    Remittance,
    Setup,
    SetupList,
    SetupReading,
    SignOff,
)
from claims.rules.bench.entries import model_key
from claims.rules.bench.setup_lists import KINDS, as_records
from claims.rules.letters.claim_letter_content import mail_text
from claims.rules.letters.content import LetterContent
from claims.rules.letters.content import to_json as letter_json
from claims.rules.packet.content import Party, Row
from inventory.models import (
    CarriedCheck,
    Carrier,
    CarrierBankruptcy,
    Crate,
    CratePart,
    CrateType,
    Delivery,
    DockPhone,
    Evidence,
    ExchangeRate,
    ExpectedCrate,
    ExpectedDelivery,
    Handover,
    Hold,
    ImportedRow,
    LegalHold,
    ListImport,
    Location,
    Original,
    PackagingHold,
    PhotoMarkup,
    Reading,
    Shipment,
    Supplier,
    SupplierPeriod,
    Unit,
    User,
)
from inventory.rules.reckoning.calendars import in_full
from inventory.rules.reckoning.moments import dock_day
from tests.people import make_location, make_person

ARRIVED = datetime(2026, 3, 10, 15, 30, tzinfo=UTC)
"""A Tuesday, 10:30 at Riverside."""

_count = itertools.count(1)


def _number():
    return next(_count)


def some_location():
    """Return Riverside, made if nobody has yet."""
    return Location.objects.filter(code="RIV").first() or make_location("RIV")


def day_of(moment):
    """Return the day on which a moment falls at Riverside: at night not that of UTC."""
    return dock_day(moment, some_location().zone)


def some_person():
    """Return the clerk Rosa, made if nobody has yet."""
    found = User.objects.filter(username="rosa").first()
    return found or make_person("rosa", "Rosa Field", (some_location(), "clerk"))


def make_rate(location=None, **over):
    """Enter 1 CAD = 0.75 USD, of the day before the truck came."""
    values = {
        "location": location or some_location(),
        "currency": "CAD",
        "home": "USD",
        "rate": "0.75",
        "rated_on": date(2026, 3, 9),
        "source": "The central bank's list",
        "entered_at": ARRIVED,
        "entered_by": over.pop("entered_by", None) or some_person(),
    }
    return ExchangeRate.objects.create(**{**values, **over})


def make_carrier(**over):
    values = {
        "name": f"Plainsway Freight {_number()}",
        "claims_address": "Claims, Dock 4\nMarble Fork, MO 63999",
        "claims_email": "claims@plainsway.example",
    }
    return Carrier.objects.create(**{**values, **over})


def make_list_import(who, **over):
    """Make an import of one carrier from a file, as if from its list."""
    made = make_carrier()
    sha256 = hashlib.sha256(made.name.encode()).hexdigest()
    original = Original.objects.create(
        sha256=sha256, size=9, media_type="text/csv", stored_at=ARRIVED
    )
    values = {"kind": "carriers", "file_name": "carriers.csv", "new_rows": 1}
    left = {"rows_there": 0, "rows_refused": 0, "made_at": ARRIVED, "made_by": who}
    row = ListImport.objects.create(original=original, **{**values, **left, **over})
    ImportedRow.objects.create(
        list_import=row, row=2, noun="carrier", key=made.pk, name=made.name
    )
    return row


def make_dock_phone(who, *, location, secret="a secret of the yellow phone", **over):
    """Make a shared phone whose cookie holds the secret."""
    values = {
        "name": "Yellow phone",
        "digest": hashlib.sha256(secret.encode()).hexdigest(),
        "made_at": ARRIVED,
        "made_by": who,
    }
    return DockPhone.objects.create(location=location, **{**values, **over})


def make_legal_hold(who, **over):
    values = {"matter": "Marsh v. Quill", "reason": "A suit is to be expected."}
    return LegalHold.objects.create(
        **{**values, "placed_at": ARRIVED, "placed_by": who, **over}
    )


def make_supplier(**over):
    values = {
        "name": f"Harrow & Tine Works {_number()}",
        "address": "9 Foundry Lane\nElm Junction, WI 53999",
        "claims_contact": "Goods desk",
        "claims_email": "goods@harrowtine.example",
    }
    return Supplier.objects.create(**{**values, **over})


def make_supplier_period(supplier, **over):
    values = {"kind": "damage", "count": 5, "unit": "days", "starts": "delivery"}
    return SupplierPeriod.objects.create(supplier=supplier, **{**values, **over})


def make_delivery(**over):
    """Make a truck at Riverside, not signed for yet."""
    location = over.pop("location", None) or some_location()
    values = {
        "location": location,
        "carrier": over.pop("carrier", None) or make_carrier(),
        "arrived_at": ARRIVED,
        "arrived_on": dock_day(over.get("arrived_at", ARRIVED), location.zone),
        "driver_name": "Lou Parr",
        "unloaded_by": "us",
    }
    return Delivery.objects.create(**{**values, **over})


def make_signed_delivery(**over):
    """Make a truck whose receipt was signed with our words on both copies."""
    values = {
        "how_signed": "signed",
        "driver_signed_name": "Lou Parr",
        "words_stand_on": "both",
        "signed_at": over.get("arrived_at", ARRIVED),
        "signed_by": over.pop("signed_by", None) or some_person(),
    }
    return make_delivery(**{**values, **over})


def make_unsigned_delivery(how="refused", **over):
    """Make a truck with one bill whose receipt ended in this way, not with our words."""
    signed_by = over.pop("signed_by", None) or some_person()
    truck = make_signed_delivery(signed_by=signed_by, how_signed=how, **over)
    make_handover(
        truck,
        words_full="Crate 1: dented.",
        how_signed=how,
        words_stand_on="ours",
        signed_at=truck.signed_at,
        signed_by=signed_by,
    )
    return truck


def make_shipment(**over):
    """Make a freight bill with its papers filled in, on no truck yet."""
    values = {
        "location": over.pop("location", None) or some_location(),
        "carrier": over.pop("carrier", None) or make_carrier(),
        "supplier": over.pop("supplier", None) or make_supplier(),
        "pro_number": f"PRO{_number():06d}",
        "bol_number": "BOL-7781",
        "bol_on": date(2026, 3, 3),
        "origin": "Elm Junction, WI",
        "delivery_terms": "origin",
        "freight_payer": "collect",
        "contract_carriage": "no",
        "currency": "USD",
        "pieces_billed": 4,
        "piece_unit": "crate",
        "billed_weight": "3200",
        "freight_charge_cents": 84_000,
        "freight_borne_cents": 84_000,
    }
    return Shipment.objects.create(**{**values, **over})


def make_handover(delivery=None, shipment=None, **over):
    """Put a freight bill on a truck."""
    shipment = shipment or make_shipment()
    delivery = delivery or make_delivery(
        location=shipment.location, carrier=shipment.carrier
    )
    values = {"pieces_counted": shipment.pieces_billed}
    return Handover.objects.create(
        delivery=delivery, shipment=shipment, **{**values, **over}
    )


def make_crate(shipment=None, **over):
    """Make the next crate of a freight bill, not looked at yet."""
    shipment = shipment or make_shipment()
    number = over.pop("number", None) or shipment.crates.count() + 1
    values = {"mark": f"HT-{number:03d}"}
    return Crate.objects.create(shipment=shipment, number=number, **{**values, **over})


def make_crate_type(supplier=None, parts=(("side panel", 4), ("lid", 1)), **over):
    """Make a type of crate with its parts list."""
    values = {"name": f"Crate type {_number()}", "takedown": "Lid first."}
    crate_type = CrateType.objects.create(
        supplier=supplier or make_supplier(), **{**values, **over}
    )
    for name, count in parts:
        CratePart.objects.create(crate_type=crate_type, name=name, count=count)
    return crate_type


def make_reusable(shipment=None, **over):
    """Make a reusable crate on hand, emptied, with its type unless told otherwise."""
    shipment = shipment or make_shipment()
    values = {"kind": "reusable", "state": "emptied", "look": "clear"}
    if "crate_type" not in over:
        values["crate_type"] = make_crate_type(shipment.supplier)
    if over.get("state") != "full":
        values |= {"opened_at": ARRIVED, "opened_on": date(2026, 3, 11)}
    return make_crate(shipment, **{**values, **over})


def make_packaging_hold(crate=None, **over):
    """Hold a crate's packaging since the day it came."""
    values = {
        "reason": "Transit damage found.",
        "placed_at": ARRIVED,
        "placed_on": date(2026, 3, 10),
        "placed_by": over.pop("placed_by", None) or some_person(),
    }
    return PackagingHold.objects.create(
        crate=crate or make_reusable(), **{**values, **over}
    )


def make_unit(shipment=None, **over):
    """Make a machine with its serial and invoice value."""
    crate = over.get("crate")
    shipment = shipment or (crate.shipment if crate else make_shipment())
    values = {
        "model": "TX 48 tiller",
        "serial": f"TX48-{_number():05d}",
        "invoice_cents": 412_500,
        "weight": "640",
    }
    return Unit.objects.create(shipment=shipment, **{**values, **over})


def make_inspection(shipment=None, **over):
    crate, unit = over.get("crate"), over.get("unit")
    owner = crate or unit
    shipment = shipment or (owner.shipment if owner else make_shipment())
    values = {
        "stage": "uncrating",
        "crate_condition": "sound",
        "looked_at": ARRIVED,
        "looked_on": date(2026, 3, 10),
        "looked_by": over.pop("looked_by", None) or some_person(),
        "delivery": crate.delivery if crate else None,
    }
    return Inspection.objects.create(shipment=shipment, **{**values, **over})


def make_finding(inspection=None, **over):
    """Record a cracked deck shell, hidden in a sound crate, most likely in transit."""
    if inspection is None:
        about = {k: over[k] for k in ("crate", "unit", "shipment") if k in over}
        inspection = make_inspection(**about)
    shipment = inspection.shipment
    seen = inspection.stage == "tailgate"
    values = {
        "shipment": shipment,
        "delivery": inspection.delivery,
        "crate": inspection.crate,
        "unit": inspection.unit,
        "number": shipment.findings.count() + 1,
        "part": "deck shell",
        "damage_kind": "cracked",
        "severity": "severe",
        "facts": "Deck shell cracked at the left hinge, 12 cm.",
        "could_be_seen": seen,
        "could_be_seen_derived": seen,
        "cause": "transit",
        "repair_minutes": 90,
        "recorded_at": inspection.looked_at,
        "recorded_by": inspection.looked_by,
    }
    return Finding.objects.create(inspection=inspection, **{**values, **over})


def make_evidence(**over):
    """Make the row of one photo; its bytes are not in the store."""
    sha256 = (
        over.pop("sha256", None) or hashlib.sha256(str(_number()).encode()).hexdigest()
    )
    original, _ = Original.objects.get_or_create(
        sha256=sha256,
        defaults={"size": 1200, "media_type": "image/jpeg", "stored_at": ARRIVED},
    )
    owner = over.get("delivery") or over.get("shipment")
    if owner is None:
        owner = over["shipment"] = make_shipment()
    values = {
        "client_id": uuid.uuid5(uuid.NAMESPACE_OID, str(_number())),
        "original": original,
        "location": owner.location,
        "kind": "damage",
        "file_name": "photo.jpg",
        "received_at": ARRIVED,
        "recorded_by": over.pop("recorded_by", None) or some_person(),
    }
    return Evidence.objects.create(**{**values, **over})


def make_markup(evidence=None, **over):
    """Make the row that says what is marked on a photo: one circle."""
    circle = {"kind": "circle", "x1": 100, "y1": 100, "x2": 400, "y2": 400}
    values = {
        "marks": [{**circle, "text": "", "unit": ""}],
        "said_at": ARRIVED,
        "said_by": over.pop("said_by", None) or some_person(),
    }
    return PhotoMarkup.objects.create(
        evidence=evidence or make_evidence(), **{**values, **over}
    )


def make_reading(evidence=None, **over):
    """Make the row that seals the copies of a photo: two hashes of nothing."""
    values = {
        "decoder": "1, Pillow 13.0.0",
        "large_sha256": hashlib.sha256(b"large").hexdigest(),
        "small_sha256": hashlib.sha256(b"small").hexdigest(),
        "width": 1600,
        "height": 1200,
        "read_at": ARRIVED,
    }
    return Reading.objects.create(
        evidence=evidence or make_evidence(), **{**values, **over}
    )


def attach_photo(finding, **over):
    """Point a finding at a photo of its own freight bill."""
    evidence = make_evidence(shipment=finding.shipment, crate=finding.crate, **over)
    FindingPhoto.objects.create(finding=finding, evidence=evidence)
    return evidence


def make_hold(unit=None, **over):
    values = {
        "reason": "Waits for the carrier's inspection.",
        "placed_at": ARRIVED,
        "placed_by": over.pop("placed_by", None) or some_person(),
    }
    return Hold.objects.create(unit=unit or make_unit(), **{**values, **over})


def make_setup_list(kind="ride-on-mower", **over):
    """Store the list of this kind, unless it is there."""
    values = {
        "lines": as_records(KINDS[kind].lines),
        "made_at": ARRIVED,
        "made_by": over.pop("made_by", None) or some_person(),
    }
    found, _ = SetupList.objects.get_or_create(
        kind=kind, number=over.pop("number", 1), defaults={**values, **over}
    )
    return found


def make_model_entry(model="TX 48 tiller", **over):
    """Make the next entry of this model, without targets."""
    key = model_key(model)
    values = {
        "number": ModelEntry.objects.filter(name_key=key).count() + 1,
        "kind": "ride-on-mower",
        "manual": "Operator's manual 4821",
        "made_at": ARRIVED,
        "made_by": over.pop("made_by", None) or some_person(),
    }
    return ModelEntry.objects.create(model=model, name_key=key, **{**values, **over})


def make_setup(unit=None, **over):
    """Begin the setup of a machine."""
    values = {
        "setup_list": over.pop("setup_list", None) or make_setup_list(),
        "begun_at": ARRIVED,
        "begun_by": over.pop("begun_by", None) or some_person(),
    }
    return Setup.objects.create(unit=unit or make_unit(), **{**values, **over})


def make_setup_reading(setup=None, **over):
    """Read one line of a setup as right."""
    values = {
        "line": "keys",
        "result": "right",
        "taken_at": ARRIVED,
        "taken_on": date(2026, 3, 10),
        "taken_by": over.pop("taken_by", None) or some_person(),
    }
    return SetupReading.objects.create(
        setup=setup or make_setup(), **{**values, **over}
    )


def make_sign_off(unit=None, **over):
    """Sign a machine off, complete."""
    unit = unit or make_unit()
    values = {
        "setup": over.pop("setup", None) or make_setup(unit),
        "state": "complete",
        "signed_at": ARRIVED,
        "signed_on": date(2026, 3, 10),
        "signed_by": over.pop("signed_by", None) or some_person(),
    }
    return SignOff.objects.create(unit=unit, **{**values, **over})


def make_booked(unit=None, **over):
    """Book an hour and a half of setup on a machine."""
    values = {
        "work": "setup",
        "minutes": 90,
        "done_on": date(2026, 3, 10),
        "booked_at": ARRIVED,
        "booked_by": over.pop("booked_by", None) or some_person(),
    }
    return BookedMinutes.objects.create(unit=unit or make_unit(), **{**values, **over})


def make_departure(unit=None, **over):
    """Sell a machine that is signed off."""
    values = {
        "way": "sold",
        "to": "Lou Parr",
        "release": "complete",
        "moved_on": date(2026, 3, 12),
        "recorded_at": ARRIVED,
        "recorded_by": over.pop("recorded_by", None) or some_person(),
    }
    return Departure.objects.create(unit=unit or make_unit(), **{**values, **over})


def make_part_tag(finding=None, **over):
    """Tag the deck shell of a machine's finding."""
    finding = finding or make_finding(unit=make_unit())
    location = finding.shipment.location
    values = {
        "location": location,
        "number": location.part_tags.count() + 1,
        "unit": finding.unit,
        "part": "Deck shell",
        "shelf": "C4",
        "tagged_at": ARRIVED,
        "tagged_on": date(2026, 3, 10),
        "tagged_by": over.pop("tagged_by", None) or some_person(),
    }
    return PartTag.objects.create(finding=finding, **{**values, **over})


def make_notice(shipment=None, **over):
    values = {
        "kind": "concealed",
        "addressee": "Plainsway Freight, claims",
        "text": "We found concealed damage and ask you to inspect.",
        "written_at": ARRIVED,
        "written_by": over.pop("written_by", None) or some_person(),
    }
    return Notice.objects.create(
        shipment=shipment or make_shipment(), **{**values, **over}
    )


def make_claim(shipment=None, **over):
    """Make a drafted claim without lines."""
    shipment = shipment or make_shipment()
    values = {
        "location": shipment.location,
        "number": f"C-2026-{_number():04d}",
        "currency": "USD",
        "made_at": ARRIVED,
        "made_by": over.pop("made_by", None) or some_person(),
    }
    return Claim.objects.create(shipment=shipment, **{**values, **over})


def make_claim_line(claim=None, **over):
    claim = claim or make_claim()
    values = {
        "number": claim.lines.count() + 1,
        "label": "Deck shell cracked",
        "outcome": "repair",
        "repair_cents": 48_000,
        "worked_cents": 48_000,
        "holds": over.get("finding") is not None,
    }
    return ClaimLine.objects.create(claim=claim, **{**values, **over})


def make_claim_letter(claim=None, **over):
    """Make a reminder that was confirmed and not sent."""
    claim = claim or make_claim()
    day = over.get("dated_on", date(2026, 3, 10))
    content = LetterContent(
        sender=Party("Riverside"),
        addressee=Party("Plainsway Freight", ("claims@plainsway.example",)),
        date=in_full(day),
        references=(Row("Freight bill (PRO)", claim.shipment.pro_number),),
        subject=f"Claim {claim.number}: no acknowledgment received",
        paragraphs=("Please acknowledge the claim in writing now.",),
        signed_by="Mina Osterby",
        dated_on=day.isoformat(),
    )
    values = {
        "kind": "reminder",
        "number": claim.letters.count() + 1,
        "addressee": content.addressee.name,
        "subject": content.subject,
        "text": mail_text(content),
        "content": letter_json(content),
        "dated_on": day,
        "digest": "d" * 64,
        "confirmed_at": ARRIVED,
        "confirmed_by": over.pop("confirmed_by", None) or some_person(),
    }
    return ClaimLetter.objects.create(claim=claim, **{**values, **over})


def make_claim_payment(claim=None, **over):
    """Make a check of 100.00 for a claim, recorded by accounting."""
    claim = claim or make_claim()
    values = {
        "number": claim.payments.count() + 1,
        "on": ARRIVED.date(),
        "cents": 10_000,
        "method": "check",
        "reference": "Check 1",
        "recorded_at": ARRIVED,
        "recorded_by": claim.made_by,
    }
    return ClaimPayment.objects.create(claim=claim, **{**values, **over})


def make_remittance(*claims, **over):
    """Make a transfer of 150.00 that brings 100.00 for each claim; the rest is owed."""
    first = claims[0]
    values = {
        "location": first.location,
        "number": f"M-QN-2026-{_number():04d}",
        "carrier": first.shipment.carrier,
        "currency": first.currency,
        "received_on": ARRIVED.date(),
        "cents": len(claims) * 10_000 + 5_000,
        "method": "transfer",
        "reference": "Wire 5512",
        "reason": "They rounded up.",
        "recorded_at": ARRIVED,
        "recorded_by": first.made_by,
    }
    row = Remittance.objects.create(**{**values, **over})
    for claim in claims:
        make_claim_payment(claim, remittance=row, method="transfer")
    return row


def make_paper_task(claim=None, paper="packing-list", **over):
    """Give a missing document to whoever made the claim, by the day after ARRIVED."""
    claim = claim or make_claim()
    values = {
        "owner": claim.made_by,
        "by_day": date(2026, 3, 11),
        "given_at": ARRIVED,
        "given_by": claim.made_by,
    }
    return PaperTask.objects.create(claim=claim, paper=paper, **{**values, **over})


def make_carried_check(person, **over):
    """Carry the charges of February without a crate, at Riverside."""
    values = {
        "location": some_location(),
        "month": date(2026, 2, 1),
        "check_key": "charges",
        "label": "Charges without a crate",
        "open_rows": [["1", "USD", 18_500]],
        "reason": "The supplier answers next week.",
        "carried_at": ARRIVED,
        "carried_by": person,
    }
    return CarriedCheck.objects.create(**{**values, **over})


def make_bankruptcy(carrier=None, **over):
    """Record a carrier's petition of 2 March with a bar date of 12 June 2026."""
    values = {
        "petition_on": date(2026, 3, 2),
        "court": "Bankr. D. Neb.",
        "case_number": "26-40117",
        "bar_on": date(2026, 6, 12),
        "recorded_at": ARRIVED,
        "recorded_by": over.pop("recorded_by", None) or some_person(),
    }
    return CarrierBankruptcy.objects.create(
        carrier=carrier or make_carrier(), **{**values, **over}
    )


def make_broker_of(claim):
    """Make the company that has the claim the broker of its freight bill."""
    bill = claim.shipment
    bill.broker = bill.carrier
    bill.record_carrier = make_carrier(name=f"Sedge Lines {_number()}")
    bill.save(update_fields=["broker", "record_carrier"])
    claim.addressed_to = bill.broker
    claim.save(update_fields=["addressed_to"])
    return bill


def make_overlap_answer(claim=None, **over):
    """Answer that no insurer was notified and the supplier credited nothing."""
    claim = claim or make_claim()
    values = {"insurer": "no", "answered_at": ARRIVED, "answered_by": claim.made_by}
    return OverlapAnswer.objects.create(claim=claim, **{**values, **over})


def make_going_on_cost(location=None, **over):
    """Enter what a suit costs: filing 95.00, serving 70.00, limit 6,500.00."""
    location = location or some_location()
    values = {
        "currency": location.currency,
        "limit_cents": 650_000,
        "limit_source": "The court's page",
        "filing_cents": 9_500,
        "serving_cents": 7_000,
        "entered_at": ARRIVED,
        "entered_by": over.pop("entered_by", None) or some_person(),
    }
    return GoingOnCost.objects.create(location=location, **{**values, **over})


def make_expected(**over):
    """Make an announced bill with two marked crates, expected the day after ARRIVED."""
    marks = over.pop("marks", ("2F0416/6", "2F0417/1"))
    values = {
        "location": over.pop("location", None) or some_location(),
        "supplier": over.pop("supplier", None) or make_supplier(),
        "pro_number": f"EXP{_number():06d}",
        "bol_number": "BOL-9912",
        "expected_on": date(2026, 3, 11),
        "made_at": ARRIVED,
        "made_by": over.pop("made_by", None) or some_person(),
    }
    made = ExpectedDelivery.objects.create(**{**values, **over})
    for place, mark in enumerate(marks, start=1):
        ExpectedCrate.objects.create(
            delivery=made, position=place, mark=mark, model="TX 48 tiller"
        )
    return made
