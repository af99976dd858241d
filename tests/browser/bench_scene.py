"""A bench with work on it: 39 closed crates, and machines at every step of their setup."""

SCENE = """
import json, uuid
from datetime import timedelta
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from claims.actions.bench.line_decisions import decide_line
from claims.actions.bench.line_readings import LineTaken, read_line
from claims.actions.bench.setup_lists import make_entry
from claims.actions.bench.setups import begin_setup
from claims.actions.bench.words import FindingWords
from claims.models import BookedMinutes, Finding
from claims.rules.bench.targets import Target
from inventory.actions.evidence.photo_facts import About
from inventory.actions.evidence.uploads import keep_uploads
from inventory.models import User
from inventory.rules.reckoning.quantities import parse_quantity
from tests import making
from tests.pictures import jpeg

tomas, mina = (User.objects.get(username=one) for one in ("tomas", "mina"))
at = timezone.now() - timedelta(hours=3)
carrier = making.make_carrier(name="Harrier Freight")
supplier = making.make_supplier(name="Tillworks")
truck = making.make_signed_delivery(carrier=carrier, arrived_at=at)
bill = making.make_shipment(
    carrier=carrier, supplier=supplier, pro_number="PRO-7712", pieces_billed=50
)
making.make_handover(truck, bill)
doing = {"person": tomas, "at": at}
PSI = ("13", "15"), ("9", "11")


def crate(number, **over):
    return making.make_crate(
        bill, delivery=truck, mark=f"BN-{number:03d}", look="clear", number=number, **over
    )


def machine(number, model="Hayfield ZT 60"):
    opened = {"opened_at": at, "opened_on": making.day_of(at)}
    return making.make_unit(
        bill, crate=crate(number, **opened), model=model, serial=f"HZ60-{number:05d}",
        engine_serial=f"EN-{number:04d}",
    )


def photo(unit):
    upload = SimpleUploadedFile("photo.jpg", jpeg(colour=(40, 90, 110)), "image/jpeg")
    about = About(shipment=unit.shipment, unit=unit)
    return keep_uploads(
        person=tomas, at=at, uploads=[upload], batch=uuid.uuid4(), about=about,
        kind="damage",
    ).kept


def read(unit, line, result="", **told):
    photos = told.pop("photos", ())
    return read_line(unit=unit, taken=LineTaken(line, result, **told), photos=photos, **doing)


def target(line, rule, points, low, high, unit):
    limits = (parse_quantity(one, unit) if one else None for one in (low, high))
    return Target(line, rule, points, *limits, "page 31")


FRONT, REAR = ("left-front", "right-front"), ("left-rear", "right-rear")
location = bill.location
make_entry(
    person=mina, at=at, location=location, model="Hayfield ZT 60", kind="ride-on-mower",
    manual="Operator's manual 4821",
    targets=[
        target("tires", "each", FRONT, "13", "15", "psi"),
        target("tires", "each", REAR, "9", "11", "psi"),
        target("deck-level", "apart", ("left", "right"), "", "1/8", "in"),
        target("deck-level", "lower", ("front", "rear"), "1/8", "1/4", "in"),
    ],
)
TIRES = {"left-front": "14", "right-front": "13", "left-rear": "10", "right-rear": "10"}
LEVEL = {"left": "3 3/4", "right": "4", "front": "3 3/4", "rear": "3 15/16"}

working = machine(1)
begin_setup(unit=working, kind="ride-on-mower", **doing)
for line in ("loose-parts", "keys", "manual"):
    read(working, line, "right")
read(working, "tires", readings=TIRES)
read(working, "lug-nuts", readings={"left-rear": "80", "right-rear": "80"}, result="right")
read(working, "deck-level", "wrong", readings=LEVEL, note="Left hanger looks bent.",
     signs=("bent",), places=("deck-left",), photos=photo(working))

low = machine(2)
begin_setup(unit=low, kind="ride-on-mower", **doing)
read(low, "tires", readings={**TIRES, "right-rear": "8"})

fresh = machine(3)
making.make_inspection(unit=fresh, crate=fresh.crate, looked_by=tomas)

held = machine(4, "Hayfield GT 24")
words = FindingWords("bent", "moderate", "Left deck hanger bent 1/4 in.", part="Hanger",
                     places=("deck-left", "left-front-wheel"), cause="transit")
begin_setup(unit=held, kind="ride-on-mower", **doing)
read(held, "deck", "wrong", note="Hanger bent.", photos=photo(held))
row = decide_line(unit=held, line="deck", decision="damage", words=words, **doing)

ready = machine(5)
begin_setup(unit=ready, kind="snow-thrower", **doing)
for line in ready.setups.get().setup_list.rows:
    asked = line.readings
    points = asked.points if asked else ()
    figure = {"gap": "1/8", "pressure": "14"}.get(asked.measure, "12") if asked else ""
    if line.key != "registration":
        read(ready, line.key, "right", readings=dict.fromkeys(points, figure), confirmed=True)

sold = machine(6)
making.make_sign_off(sold, signed_on=making.day_of(at), signed_by=tomas)
gone = machine(7)
making.make_sign_off(gone, signed_on=making.day_of(at), signed_by=tomas)
making.make_departure(gone, moved_on=making.day_of(at), recorded_by=mina)
stood = machine(8)
long = at - timedelta(days=60)
making.make_sign_off(stood, signed_on=making.day_of(long), signed_by=tomas)

for number in range(10, 49):
    closed = crate(number)
    making.make_unit(bill, crate=closed, model="Oxbow Loader 18", serial=f"OX-{number}")

made = Finding.objects.get(pk=row.finding_id)
keep = making.make_part_tag(made, tagged_by=tomas)
free = making.make_part_tag(made, part="Deck hanger", tagged_by=tomas)
booked = BookedMinutes.objects.create(
    unit=held, finding=made, work="repair", minutes=45, done_on=making.day_of(at),
    booked_at=at, booked_by=tomas,
)
handled = making.make_finding(
    making.make_inspection(unit=fresh, crate=fresh.crate, looked_by=tomas),
    unit=fresh, cause="our-handling", recorded_by=tomas,
)
print(json.dumps({
    "working": working.pk, "low": low.pk, "fresh": fresh.pk, "held": held.pk,
    "ready": ready.pk, "sold": sold.pk, "gone": gone.pk, "stood": stood.pk,
    "closed": closed.pk, "bill": bill.pk, "finding": row.finding_id,
    "handled": handled.pk, "tag": keep.pk, "free": free.pk, "booked": booked.pk, "hold": held.holds.get().pk,
}))
"""
