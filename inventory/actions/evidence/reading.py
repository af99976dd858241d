"""Sealing what the decoder made of a photo, so that no other picture is printed."""

from collections.abc import Iterable
from datetime import datetime
from uuid import uuid4

from django.db import transaction
from django.db.models import QuerySet

from inventory.actions.core.events import record_event
from inventory.actions.evidence.photo_facts import facts_of
from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.drawn import picture_for
from inventory.evidence.pictures.renditions import Decoded
from inventory.evidence.store import originals as store
from inventory.models import Evidence, Reading, User
from inventory.rules.evidence.remarks import remarks_on


def seal_reading(
    *, person: User | None, at: datetime, evidence: Evidence, decoded: Decoded
) -> Reading:
    """Write what the decoder made of this photo, in the transaction that is open.

    It has an event of its own: it comes after the photo was answered, and the event of
    the upload goes out with a claim file and this does not.
    """
    large, small = decoded.hashes
    row = Reading.objects.create(
        evidence=evidence,
        decoder=decoded.decoder,
        large_sha256=large,
        small_sha256=small,
        width=decoded.width,
        height=decoded.height,
        remarks=remarks_on(facts_of(evidence, decoded)),
        claims=decoded.claims,
        secret=uuid4(),
        read_at=at,
    )
    record_event(
        kind="evidence.read" if decoded.pictures else "evidence.unreadable",
        at=at,
        actor=person,
        location=evidence.location,
        subjects=[evidence],
        data={"what": evidence.caption or evidence.get_kind_display()},
    )
    return row


def read_photo(
    *, person: User | None, at: datetime, evidence: Evidence
) -> Reading | None:
    """Read a photo that is here already, and seal what the decoder makes of it.

    Return the reading that holds, an earlier one where it says the same; None where
    the original is missing or changed, since nothing is sealed from that. Raise
    DecoderStoppedError where it cannot be decoded just now.
    """
    if not store.is_intact(evidence.original_id):
        return None
    decoded = renditions.read_picture(evidence.original_id)
    large, small = decoded.hashes
    with transaction.atomic():
        row = (
            Evidence.everything.select_for_update(of=("self",))
            .select_related("location", "delivery", "shipment")
            .get(pk=evidence.pk)
        )
        same = row.readings.filter(large_sha256=large, small_sha256=small).first()
        if same is not None:
            return same
        return seal_reading(person=person, at=at, evidence=row, decoded=decoded)


def ensure_readings(
    *, person: User | None, at: datetime, photos: Iterable[Evidence]
) -> None:
    """Seal the copies of those photos that are not sealed as they would be printed.

    Call it before a document with photos is drawn, outside any transaction. A photo
    that just arrived is read now, and not later; photos of before have no reading; a
    newer decoder may make other bytes. A row that is read forgets what was joined to it.
    """
    for photo in photos:
        if not photo.is_picture:
            continue
        try:
            if not photo.is_unread:
                picture_for(photo)
                continue
        except renditions.UnsealedPictureError:
            pass
        if read_photo(person=person, at=at, evidence=photo) is not None:
            photo.refresh_from_db()


def unread_photos() -> "QuerySet[Evidence]":
    """Return the photos without a reading, hidden ones too, in order."""
    rows = Evidence.everything.filter(original__media_type__startswith="image/")
    return rows.filter(readings=None).order_by("received_at", "pk")
