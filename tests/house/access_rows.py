"""One of everything at Riverside, for the walk over every address."""

import dataclasses
import tempfile
import uuid
from datetime import date
from pathlib import Path
from types import SimpleNamespace

from django.core.files.uploadedfile import SimpleUploadedFile

from claims.actions.receiving.looks import Look, look_at_crate
from claims.models import Deadline, LighterFile, Packet, Supplement
from claims.rules.packet.content import to_json
from claims.rules.packet.manifest import Manifest, ManifestEntry, original_name
from inventory.actions.core.sent_documents import keep_sent, store_document
from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.store.packets import keep_packet
from inventory.models import Event
from inventory.rules.core.sent_documents import CLAIM_LETTER, PACKET
from tests import making
from tests.claims.documents.sample import sample_packet
from tests.house.ledger_rows import make_ledger_rows
from tests.house.return_rows import make_return_rows
from tests.mailing import put_mail
from tests.making import ARRIVED
from tests.people import make_person
from tests.pictures import jpeg


def make_rows(who):
    """Make one of everything at Riverside; return it by the kind of address."""
    signed = _signed_truck(who)
    waiting = _waiting_truck(who, signed.delivery.carrier)
    findings = _findings(who, signed)
    letters = _letters(who, signed, findings.transit)
    return {
        **{name: [row.pk] for name, row in vars(signed).items()},
        **{f"open_{name}": [row.pk] for name, row in vars(waiting).items()},
        **{f"{name}_finding": [row.pk] for name, row in vars(findings).items()},
        **{name: [row.pk] for name, row in vars(letters).items()},
        "unsigned_delivery": [making.make_unsigned_delivery(signed_by=who.rosa).pk],
        **_crate_rows(signed),
        "expected": [making.make_expected(location=who.riverside).pk],
        **make_return_rows(who, signed.shipment),
        **make_ledger_rows(who, signed.shipment),
        **_rows_with_more(who, signed, findings, letters),
        "legal_hold": [making.make_legal_hold(who.ada).pk],
        "dock_phone": [making.make_dock_phone(who.ada, location=who.riverside).pk],
        "list_import": [making.make_list_import(who.ada).pk],
        "new_person": [make_person("ines", "Ines Farrow").pk],
        "undoable": [_inspected(who, waiting).pk],
    }


def _inspected(who, waiting):
    """Inspect one more crate of the waiting truck; return the act's event."""
    crate = making.make_crate(waiting.shipment, delivery=waiting.delivery)
    look_at_crate(
        person=who.rosa, at=ARRIVED, crate=crate, version=1, look=Look("clear")
    )
    return Event.objects.filter(kind="crate.looked").get()


def _signed_truck(who):
    delivery = making.make_signed_delivery(signed_by=who.rosa)
    shipment = making.make_shipment(carrier=delivery.carrier)
    handover = making.make_handover(delivery, shipment)
    crate = making.make_crate(shipment, delivery=delivery, look="clear")
    unit = making.make_unit(shipment, crate=crate)
    return SimpleNamespace(
        delivery=delivery,
        shipment=shipment,
        handover=handover,
        crate=crate,
        unit=unit,
        refused_crate=making.make_crate(shipment, delivery=delivery, look="refused"),
        hold=making.make_hold(unit),
    )


def _waiting_truck(who, carrier):
    delivery = making.make_delivery(carrier=carrier)
    shipment = making.make_shipment(carrier=carrier)
    handover = making.make_handover(delivery, shipment)
    crate = making.make_crate(shipment, delivery=delivery)
    return SimpleNamespace(
        delivery=delivery,
        shipment=shipment,
        handover=handover,
        crate=crate,
        unit=making.make_unit(shipment, crate=crate),
    )


def _findings(who, signed):
    look = making.make_inspection(
        crate=signed.crate, unit=signed.unit, looked_by=who.tomas
    )
    return SimpleNamespace(
        transit=making.make_finding(look),
        handling=making.make_finding(look, cause="our-handling"),
    )


def _letters(who, signed, finding):
    claim = making.make_claim(
        signed.shipment,
        made_by=who.mina,
        counsel_name="Ada Fen",
        counsel_asked_on=date(2026, 3, 12),
    )
    return SimpleNamespace(
        claim=claim,
        line=making.make_claim_line(claim, finding=finding, unit=signed.unit),
        supplement=Supplement.objects.create(
            claim=claim, number=1, made_at=ARRIVED, made_by=who.mina
        ),
        payment=making.make_claim_payment(claim),
        remittance=making.make_remittance(claim),
        packet=make_packet(claim, who.mina),
        claim_letter=_claim_letter(who, claim),
        notice=making.make_notice(signed.shipment, delivery=signed.delivery),
        mail=put_mail(signed.shipment, person=who.mina, at=ARRIVED),
        deadline=make_deadline(signed.shipment, delivery=signed.delivery),
        supplier=signed.shipment.supplier,
        carrier=signed.shipment.carrier,
    )


def _claim_letter(who, claim):
    """Make a letter about the claim with its kept file."""
    letter = making.make_claim_letter(claim, confirmed_by=who.mina)
    keep_sent(
        store_document(b"%PDF-1.7 a letter"),
        about=letter,
        kind=CLAIM_LETTER,
        location=claim.location,
        person=who.mina,
        at=ARRIVED,
    )
    return letter


def _crate_rows(signed):
    """Make a reusable crate in the yard, on hold, and the type it is of."""
    crate = making.make_reusable(signed.shipment, delivery=signed.delivery)
    return {
        "yard_crate": [crate.pk],
        "packaging_hold": [making.make_packaging_hold(crate).pk],
        "crate_type": [crate.shipment.supplier_id, crate.crate_type_id],
    }


def make_deadline(shipment, **over):
    """Make one running duty of ours, counted from the delivery."""
    values = {
        "location": shipment.location,
        "duty": "concealed-notice",
        "owed_by": "us",
        "record_key": "us-motor/concealed-notice",
        "rule_version": "2026-01",
        "inputs": {},
        "due": date(2026, 3, 17),
        "safe": date(2026, 3, 16),
        "send_by": date(2026, 3, 12),
        "effect": "After this day the carrier may say that we did the damage.",
        "authority": "The carrier's tariff",
        "confidence": "secondary",
        "counted_at": ARRIVED,
    }
    return Deadline.objects.create(shipment=shipment, **{**values, **over})


def make_listed_packet(claim, person, photo):
    """Make a packet whose frozen content lists this photo."""
    with tempfile.TemporaryDirectory() as folder:
        content = sample_packet(Path(folder))
    listed = ManifestEntry(
        number="1",
        evidence=str(photo.pk),
        sha256=photo.original_id,
        size=photo.original.size,
        file=original_name(1, photo.original_id, "image/jpeg"),
        sealed=None,
    )
    manifest = Manifest(size=1, root="0" * 64, originals=(listed,))
    content = dataclasses.replace(content, manifest=manifest, checker="# checks\n")
    return make_packet(claim, person, content=to_json(content))


def make_lighter_file(packet, person):
    """Keep some bytes as a lighter edition of this claim file."""
    data = b"%PDF-1.4 the lighter edition of the walk"
    document = store_document(data)
    row = LighterFile.objects.create(
        packet=packet,
        limit_bytes=5_000_000,
        content="{}",
        sha256=document.sha256,
        size=len(data),
        made_at=ARRIVED,
        made_by=person,
    )
    keep_sent(
        document,
        about=row,
        kind=PACKET,
        location=packet.claim.location,
        person=person,
        at=ARRIVED,
    )
    return row


def make_packet(claim, person, content="{}"):
    """Keep some bytes as a packet of this claim; its content is not asked for."""
    data = b"%PDF-1.4 the packet of the walk"
    return Packet.objects.create(
        claim=claim,
        packet_version=claim.packets.count() + 1,
        as_of=date(2026, 3, 12),
        content=content,
        tree_size=0,
        root="0" * 64,
        sha256=keep_packet(data),
        size=len(data),
        made_at=ARRIVED,
        made_by=person,
    )


def _setup_rows(signed):
    """Begin the setup of a machine that is not on hold; return its addresses."""
    unit = making.make_unit(signed.shipment)
    setup = making.make_setup(unit)
    tag = making.make_part_tag(making.make_finding(unit=unit))
    return {
        "sign_off": [
            making.make_sign_off(setup.unit, setup=setup, state="open-items").pk
        ],
        "booked": [making.make_booked(unit).pk],
        "part_tag": [tag.pk],
        "setup_unit": [unit.pk],
        "setup_line": [unit.pk, "keys"],
        "machine_kind": ["tractor"],
    }


def _rows_with_more(who, signed, findings, letters):
    """Return the addresses that need more than one key, or words after them."""
    photo = keep_evidence(
        person=who.rosa,
        at=ARRIVED,
        upload=SimpleUploadedFile("photo.jpg", jpeg(), "image/jpeg"),
        client_id=uuid.uuid5(uuid.NAMESPACE_OID, "the photo of the walk"),
        kind="damage",
        delivery=signed.delivery,
        shipment=signed.shipment,
    ).evidence
    listed = make_listed_packet(letters.claim, who.mina, photo)
    second = make_listed_packet(letters.claim, who.mina, photo)
    return {
        "listed_packet": [listed.pk],
        "second_packet": [second.pk],
        "lighter_file": [make_lighter_file(listed, who.mina).pk],
        "evidence": [photo.pk],
        "photo": [photo.pk, 320],
        "evidence_query": f"?shipment={signed.shipment.pk}",
        "stage": [signed.unit.pk, "uncrating"],
        **_setup_rows(signed),
        "labels_query": ([signed.shipment.pk], f"?crate={signed.crate.pk}"),
        "finding_query": ([signed.shipment.pk], f"?crate={signed.crate.pk}"),
        "paper": [letters.claim.pk, "packing-list"],
        "letter_kind": ([letters.claim.pk, "reminder"], ""),
        "notice_query": (
            [signed.shipment.pk, "concealed"],
            f"?delivery={signed.delivery.pk}",
        ),
    }
