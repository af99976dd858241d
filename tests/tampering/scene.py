"""A small house to tamper with: a truck, a photo, a mail, a deposit, and its people."""

import json
import uuid
from datetime import UTC, datetime, timedelta
from io import StringIO
from types import SimpleNamespace

from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.db import connection

from inventory.actions.core.events import record_event
from inventory.actions.core.sealing import seal_standing_rows
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.people.people import add_person
from inventory.actions.receiving.deliveries import log_delivery
from inventory.models import Event
from inventory.rules.evidence import chain
from inventory.rules.evidence.chain import TILE
from tests import making
from tests.ledger import charge, make_book
from tests.mailing import put_mail
from tests.pictures import jpeg
from tests.reading import read_photos
from tests.verifying import behind_the_back

AT = datetime(2026, 3, 10, 15, 30, tzinfo=UTC)


def make_house():
    """Make it by the acts of the program, and seal what tests made by hand."""
    book = make_book()
    who, bill = book.who, book.shipment
    other = making.make_shipment(location=who.riverside)
    making.make_crate(bill, mark="HT-001")
    making.make_crate(bill, mark="HT-002")
    seal_standing_rows(at=AT)
    for number in range(TILE):  # so that a tile of the tree is full
        note(number)
    add_person(
        person=who.ada,
        at=AT,
        username="orrin",
        full_name="Orrin Slate",
        password="lantern-and-stencil",
        is_administrator=False,
        assigned={(who.riverside.pk, "clerk")},
    )
    truck = log_delivery(
        person=who.rosa,
        at=AT,
        location=who.riverside,
        arrived_at=AT,
        carrier=bill.carrier,
        driver_name="Lou Parr",
    )
    photo = keep_evidence(
        person=who.rosa,
        at=AT,
        upload=SimpleUploadedFile("photo.jpg", jpeg()),
        client_id=uuid.uuid4(),
        kind="damage",
        shipment=bill,
    ).evidence
    read_photos()
    charge(book)
    mail = put_mail(bill, person=who.mina, at=AT)
    for number in range(3):
        note(number)
    photo.refresh_from_db()
    return SimpleNamespace(
        who=who, bill=bill, other=other, truck=truck, photo=photo, mail=mail
    )


def note(number, at=AT):
    """Record an event that writes no row."""
    record_event(
        kind="password.changed",
        at=at,
        actor=None,
        location=None,
        subjects=[],
        data={"n": number},
    )


def verified(*words):
    """Return what ``verify`` prints."""
    said = StringIO()
    call_command("verify", *words, stdout=said)
    return said.getvalue()


def last():
    """Return the number of the newest event."""
    return Event.objects.latest("sequence").sequence


def edit(sequence, change):
    """Change one event's record by hand, and each later link, so that all fit."""
    previous = ""
    for event in Event.objects.filter(sequence__gte=sequence).order_by("sequence"):
        record = json.loads(event.body)
        if event.sequence == sequence:
            change(record)
        record["previous"] = previous or record["previous"]
        previous = chain.link_hash(record)
        behind_the_back(
            "UPDATE inventory_event SET body = %s, hash = %s, previous_hash = %s, "
            "data = %s WHERE sequence = %s",
            chain.canonical_json(record),
            previous,
            record["previous"],
            json.dumps(record["data"]),
            event.sequence,
        )


def sealed_by(noun, key):
    """Return the number of the last event that holds an image of this row."""
    for event in Event.objects.order_by("-sequence"):
        rows = json.loads(event.body)["rows"]
        if any(row[:2] == [noun, str(key)] for row in rows):
            return event.sequence
    raise AssertionError((noun, key))


def cut(after):
    """Take off the newest events, down to this number."""
    behind_the_back("DELETE FROM inventory_eventsubject WHERE event_id > %s", after)
    behind_the_back("DELETE FROM inventory_event WHERE sequence > %s", after)


def ddl(*statements):
    """Change tables or triggers themselves."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":  # it alters no table with checks to come
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for one in statements:
            cursor.execute(one)


EARLIER = timedelta(days=30)
