"""Two trucks of 24 crates on three bills: one at the dock now, one signed for."""

SCENE = """
import json, uuid
from datetime import timedelta
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from claims.actions.receiving.looks import Look, look_at_crate
from claims.actions.receiving.signing import Signature, sign_receipt
from claims.rules.receiving.receipt_words import Damage
from inventory.actions.evidence.photo_facts import About
from inventory.actions.evidence.uploads import keep_uploads
from inventory.models import User
from inventory.rules.reckoning.moments import dock_day
from tests import making
from tests.pictures import jpeg

rosa = User.objects.get(username="rosa")
at = timezone.now() - timedelta(minutes=40)


def photo_of(kind, shade, **about):
    upload = SimpleUploadedFile("photo.jpg", jpeg(colour=shade), "image/jpeg")
    done = keep_uploads(
        person=rosa, at=at, uploads=[upload], batch=uuid.uuid4(),
        about=About(**about), kind=kind,
    )
    return done.kept


def truck(number):
    carrier = making.make_carrier(name=f"Gannet Overland {number}")
    supplier = making.make_supplier(name=f"Oxbow Implement Works {number}")
    row = making.make_delivery(carrier=carrier, arrived_at=at)
    photo_of("load", (120, 120, 130), delivery=row)
    crates = []
    for count, stem in ((6, 1), (10, 2), (8, 3)):
        bill = making.make_shipment(
            carrier=carrier, supplier=supplier, pieces_billed=count,
            pro_number=f"410-2217{number}{stem}",
        )
        making.make_handover(row, bill)
        crates += [making.make_crate(bill, delivery=row) for _ in range(count)]
    for at_number, crate in enumerate(crates):
        if at_number in (1, 3):
            inspect(crate, "exception", ("punctured", "crushed")[at_number // 2])
        elif at_number == 8:
            inspect(crate, "refused", "leaking")
        elif at_number < 9 or number == 2:
            look_at_crate(
                person=rosa, at=at, crate=crate, version=crate.version, look=Look("clear")
            )
    return row, crates


def inspect(crate, look, kind):
    photos = photo_of(
        "damage", (90, 60, 40), delivery=crate.delivery, shipment=crate.shipment,
        crate=crate,
    )
    look_at_crate(
        person=rosa, at=at, crate=crate, version=crate.version, photos=photos,
        look=Look(
            look, damage=Damage(kind, "severe", ("side-1", "top")),
            refused_for="unsafe" if look == "refused" else "",
        ),
    )


here, crates = truck(1)
gone, _ = truck(2)
sign_receipt(
    person=rosa, at=at, delivery=gone, version=gone.version,
    signature=Signature(
        "signed", driver_signed_name="Lou Parr", words_stand_on="both",
        no_photo_reason="driver would not wait",
    ),
)
gone.refresh_from_db()
print(json.dumps({
    "truck": here.pk, "signed": gone.pk, "bill": crates[0].shipment_id,
    "crate": crates[12].pk, "damaged": crates[1].pk, "refused": crates[8].pk,
}))
"""
"""Run in a site's own process after the cast; prints the keys of what it made."""
