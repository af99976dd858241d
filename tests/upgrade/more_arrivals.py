"""Trucks as the demo does not see them: announced, undone, ended otherwise, taken back."""

import itertools
import uuid
from datetime import timedelta

from django.core.files.uploadedfile import SimpleUploadedFile

from claims.actions.letters.notices import keep_letter, write_notice
from claims.actions.receiving.looks import Look, look_at_crate
from claims.actions.receiving.signing import Signature, sign_bills
from claims.actions.receiving.terminal_mail import mark_mailed
from claims.actions.receiving.undo import UNDOABLE
from claims.actions.receiving.withdrawals import (
    withdraw_bill,
    withdraw_crate,
    withdraw_delivery,
)
from claims.queries.letters.notices import notice_facts
from claims.rules.letters.notice_words import compose
from claims.rules.receiving.receipt_words import Damage
from fixtures.returning import stage
from fixtures.steps import fresh
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.evidence.reading import read_photo
from inventory.actions.receiving.deliveries import log_delivery, record_fact
from inventory.actions.receiving.empties import close_empties_truck
from inventory.actions.receiving.expected import (
    Arriving,
    announce_deliveries,
    withdraw_expected,
)
from inventory.actions.receiving.handovers import (
    count_handover,
    say_why_not_inspected,
)
from inventory.actions.receiving.listed_crates import list_crates
from inventory.actions.receiving.over_pieces import record_over_answer
from inventory.actions.receiving.shipments import BillAtDock, add_bill
from inventory.actions.returns.shipping import Departure, ship_return
from inventory.actions.returns.staging import change_return
from inventory.models import Crate, Event
from inventory.rules.receiving.announced import Announced, AnnouncedCrate
from tests.pictures import NO_PICTURE
from tests.upgrade.more_trucks import frames

BROKEN = Damage("broken", "moderate", ("side-2",), "Two slats broken on side 2")

ENDINGS = (
    Signature("signed", "Ives Calder", "both"),
    Signature("signed", "Ives Calder", "carrier"),
    Signature("handheld", "Ives Calder"),
    Signature("bare", "Ives Calder", no_photo_reason="The driver kept the only copy."),
    Signature("refused", witness_name="Tomas Brinn"),
    Signature("no-wait"),
    Signature("dropped"),
)
"""Each way in which a receipt may end, one bill each; "unattended" is not offered."""

FACTS = (
    {"unloaded_by": "both"},
    {"unloaded_with": "forklift"},
    {"seal_condition": "broken", "seal_number": "4471"},
    {"damaged_on_trailer": True},
    {"shippers_count": True},
)


_pros = itertools.count(1)


def tell_more_arrivals(t):
    """Announce bills, end receipts in every way, undo, and take back."""
    _announced(t)
    _every_ending(t)
    _undone(t)
    _taken_back(t)
    _empties(t)
    _letter_about_a_refusal(t)
    _unreadable(t)


def _truck(t, days):
    at = t.moment(t.ago(days), 10)
    return t.truck(t.cast.carriers["sedge"], at, "Ives Calder", "SS70417"), at


def _bill(t, truck, **more):
    asked = {"billed": 1, "counted": 1, "crates": 1, **more}
    return t.bill(
        truck,
        f"SSL 70{next(_pros):05d}",
        supplier=t.cast.suppliers["cinder"],
        **asked,
    )


def _announced(t):
    """Announce by a file and by hand: one arrives, one is withdrawn, two wait."""
    at, day = t.moment(t.ago(3), 8), t.ago(1)
    frame, box = (
        AnnouncedCrate(2, mark="F-70-1", model="Oxbow Tiller 72", kind="reusable"),
        AnnouncedCrate(3, pieces=2, kind="one-way"),
    )
    carrier = t.cast.carriers["sedge"].name
    doing = {"person": t.clerk, "at": at, "location": t.location}
    came, _ = announce_deliveries(
        supplier=t.cast.suppliers["oxbow"],
        bills=[
            Announced("SSL 7100001", "OXB-71001", carrier, day, (frame, box)),
            Announced("SSL 7100002", "", carrier, t.today, (box,)),
        ],
        file_name="ship-notice.csv",
        **doing,
    )
    never, _ = announce_deliveries(
        supplier=t.cast.suppliers["cinder"],
        bills=[
            Announced("SSL 7100003", "", "", day, (AnnouncedCrate(0),)),
            Announced("", "CBM-71004", "", t.today, (AnnouncedCrate(0, mark="A-1"),)),
        ],
        **doing,
    )
    withdraw_expected(
        person=t.clerk,
        at=t.moment(t.ago(1), 9),
        expected=never,
        version=never.version,
        reason="The supplier canceled it.",
    )
    truck, at = _truck(t, 1)
    add_bill(
        person=t.clerk,
        at=at,
        delivery=truck,
        bill=BillAtDock(
            pro_number="SSL 7100001",
            pieces_billed=3,
            piece_unit="crate",
            pieces_counted=3,
            crates=3,
            arriving=Arriving(came, ("F-70-1",)),
        ),
    )


def _every_ending(t):
    """End each bill of one truck in its own way, mail the terminal, answer the over."""
    at = t.moment(t.ago(2), 9)
    truck = log_delivery(
        person=t.clerk,
        at=at,
        location=t.location,
        arrived_at=at - timedelta(minutes=20),
        carrier=t.cast.carriers["sedge"],
        phone_shows=at - timedelta(hours=2),
        driver_name="Ives Calder",
        trailer_number="SS70401",
    )
    t.photo("load", at, drawn="load", delivery=truck)
    for fact in (*FACTS, {"started_at": at}):
        record_fact(person=t.clerk, at=at, delivery=truck, **fact)
    bills = [_bill(t, truck, counted=2, crates=2) for _ in ENDINGS]
    for bill in bills:
        first = bill.shipment.crates.order_by("number")[0]
        t.exception(first, at + timedelta(minutes=9), BROKEN, "crate-broken-slats")
    say_why_not_inspected(
        person=t.clerk, at=at, handover=bills[5], version=1, reason="no-wait"
    )
    over = list_crates(
        person=t.clerk,
        at=at,
        shipment=bills[0].shipment,
        delivery=truck,
        count=2,
        kind="one-way",
        is_over=True,
    )
    truck.refresh_from_db()
    sign_bills(
        person=t.clerk,
        at=at + timedelta(minutes=30),
        delivery=truck,
        version=truck.version,
        answers={bill.pk: ending for bill, ending in zip(bills, ENDINGS, strict=True)},
    )
    after = at + timedelta(minutes=50)
    mark_mailed(person=t.clerk, at=after, delivery=truck, to="terminal@sedge.example")
    for crate, answer in zip(over, ("picked-up", "left"), strict=True):
        record_over_answer(
            person=t.clerk,
            at=t.moment(t.ago(1), 11),
            crate=crate,
            answer=answer,
            on=t.ago(1),
            note="By its dispatcher.",
        )


def _undone(t):
    """Undo one act of each kind that can be undone, and leave the truck at the dock."""
    truck, at = _truck(t, 0)
    doing = {"person": t.clerk, "at": at}
    bill = _bill(t, truck, billed=3, counted=3, crates=3)
    record_fact(delivery=truck, unloaded_with="crane", **doing)
    _undo_last(t, "delivery.fact", at)
    count_handover(
        handover=bill,
        version=bill.version,
        pieces_counted=2,
        rest_to_follow=False,
        **doing,
    )
    _undo_last(t, "handover.counted", at)
    bill.refresh_from_db()
    say_why_not_inspected(handover=bill, version=bill.version, reason="dark", **doing)
    _undo_last(t, "handover.unseen", at)
    crate = bill.shipment.crates.order_by("number")[0]
    look_at_crate(
        crate=crate,
        version=crate.version,
        look=Look("exception", damage=BROKEN, no_photo_reason="The phone was empty."),
        **doing,
    )
    _undo_last(t, "crate.looked", at)
    t.rest_clear(truck, at)
    _undo_last(t, "crates.cleared", at)


def _undo_last(t, kind, at):
    event = Event.objects.filter(kind=kind).latest("sequence")
    UNDOABLE[kind].undo(person=t.clerk, at=at, event=event)


def _taken_back(t):
    """Take back a crate, a bill, a bill's second truck, and a truck with its bill."""
    first, at = _truck(t, 4)
    second, _ = _truck(t, 3)
    doing = {"person": t.clerk, "at": at, "reason": "Recorded twice."}
    whole = _bill(t, first, billed=2, crates=2)
    again = BillAtDock(whole.shipment.pro_number, 2, "crate", 1, crates=1)
    joined = add_bill(person=t.clerk, at=at, delivery=second, bill=again)
    crate = whole.shipment.crates.order_by("number")[0]
    withdraw_crate(crate=crate, version=crate.version, **doing)
    withdraw_bill(handover=joined, version=joined.version, **doing)
    alone = _bill(t, second)
    withdraw_bill(handover=alone, version=alone.version, **doing)
    _bill(t, second)
    second.refresh_from_db()
    withdraw_delivery(delivery=second, version=second.version, **doing)
    t.rest_clear(first, at)
    t.sign(first, at + timedelta(minutes=9), "Ives Calder")


def _empties(t):
    """Close a truck that took a return with it, and one that took nothing."""
    carrier = t.cast.carriers["sedge"]
    crates = frames(t, 10, 12, 2)
    row = stage(t, crates, planned=t.ago(6), carrier=carrier)
    truck, at = _truck(t, 6)
    doing = {"person": t.clerk, "at": at}
    row.refresh_from_db()
    row = change_return(crate_return=row, version=row.version, delivery=truck, **doing)
    ship_return(
        crate_return=row,
        version=row.version,
        departure=Departure(
            left_on=t.ago(6),
            billed_on=t.ago(6),
            carrier=carrier,
            delivery=truck,
            driver_name="Ives Calder",
            driver_count=2,
            how_signed="signed",
        ),
        **doing,
    )
    empty, _ = _truck(t, 5)
    for one, reason in ((truck, ""), (empty, "It came for another dock.")):
        one.refresh_from_db()
        close_empties_truck(delivery=one, version=one.version, reason=reason, **doing)


def _letter_about_a_refusal(t):
    """Ask the carrier what becomes of refused crates; its letter is made twice."""
    refused = Crate.objects.filter(look="refused", shipment__location=t.location)
    bill = refused.order_by("pk")[0].shipment
    at = t.now - timedelta(minutes=15)
    facts = notice_facts(
        kind="disposition",
        shipment=bill,
        delivery=None,
        person=t.manager,
        today=t.today,
    )
    notice = write_notice(
        shipment=bill,
        delivery=None,
        kind="disposition",
        addressee=facts.addressee,
        text=compose("disposition", facts).text,
        person=t.manager,
        at=at,
    )
    for is_new in (True, False):
        keep_letter(notice=notice, person=t.manager, at=at, is_new=is_new)


def _unreadable(t):
    """Keep a photo of which no copy can be made."""
    crate = fresh(Crate.objects.filter(look="exception").order_by("pk")[0])
    kept = keep_evidence(
        person=t.clerk,
        at=t.now,
        upload=SimpleUploadedFile("torn.jpg", NO_PICTURE, "image/jpeg"),
        client_id=uuid.UUID("7b9d1b60-3a57-4c63-8f0e-58a3c1d0e917"),
        kind="damage",
        shipment=crate.shipment,
        crate=crate,
    )
    read_photo(person=None, at=t.now, evidence=kept.evidence)
