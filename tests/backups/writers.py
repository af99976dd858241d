"""Programs that the tests of backups run beside each other in one house."""

MAKE_HOUSE = """
import uuid
from datetime import datetime, UTC
from pathlib import Path
from django.core.files.uploadedfile import SimpleUploadedFile
from inventory.actions.receiving.deliveries import change_delivery, log_delivery
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.people.people import add_location, add_person
from inventory.models import Delivery, User

AT = datetime(2026, 3, 10, 15, 30, tzinfo=UTC)

def make_house():
    place = add_location(person=None, at=AT, code="RIV", name="Riverside",
        address="1200 Levee Road", time_zone="America/Chicago", country="US")
    rosa = add_person(person=None, at=AT, username="rosa", full_name="Rosa Field",
        password="a long enough sentence 9", is_administrator=False,
        assigned={(place.pk, "clerk")})
    return log_delivery(person=rosa, at=AT, location=place, arrived_at=AT,
        carrier_name="Plainsway Freight", driver_name="Lou Parr")

def keep(truck, number):
    rosa = User.objects.get(username="rosa")
    keep_evidence(person=rosa, at=AT, kind="other", delivery=truck,
        upload=SimpleUploadedFile("paper.pdf", b"%%PDF-1.4 paper %d" % number),
        client_id=uuid.uuid5(uuid.NAMESPACE_OID, str(number)))
    truck = Delivery.objects.get(pk=truck.pk)
    change_delivery(person=rosa, at=AT, delivery=truck, version=truck.version,
        carrier=truck.carrier, arrived_at=AT, trailer_number=f"T-{number}")
"""

KEEP_FIVE = MAKE_HOUSE + "\ntruck = make_house()\nfor n in range(5): keep(truck, n)\n"
KEEP_MORE = (
    MAKE_HOUSE + "\ntruck = Delivery.objects.get()\nfor n in (5, 6): keep(truck, n)\n"
)

WRITE_ON = (
    MAKE_HOUSE
    + """
import sys
told, stop = Path(sys.argv[1]), Path(sys.argv[2])
truck = make_house()
number = 0
while not stop.exists():
    keep(truck, number)
    number += 1
    told.write_text(str(number))
print(number)
"""
)
"""Keeps papers one after another and tells how many were acknowledged."""

BACK_UP = """
import sys, time
from io import StringIO
from pathlib import Path
from django.core.management import call_command
told, folder = Path(sys.argv[1]), Path(sys.argv[2])
for number in range(int(sys.argv[3])):
    before = int(told.read_text() or 0)
    while int(told.read_text() or 0) < before + 2:
        time.sleep(0.02)
    before = int(told.read_text())
    call_command("backup", str(folder / str(number)), stdout=StringIO())
    print(before, flush=True)
"""
"""Backs up again and again; says how many were acknowledged before each."""

BACK_UP_AT = """
from datetime import datetime, UTC
from pathlib import Path
from inventory.evidence.backups.taking import make_backup
from inventory.rules.evidence.generations import Keep
made = make_backup(Path({folder!r}), at=datetime.fromisoformat({at!r}), keep={keep})
print(made.backup.events)
"""
"""Backs up into a folder at a moment, with what is kept of earlier ones."""
