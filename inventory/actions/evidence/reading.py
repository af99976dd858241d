"""Sealing what the decoder made of a photo, so that no other picture is printed."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import QuerySet

from inventory.actions.core.events import Part, record_events
from inventory.actions.evidence.photo_facts import facts_of
from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.drawn import picture_for
from inventory.evidence.pictures.renditions import Decoded
from inventory.evidence.store import originals as store
from inventory.models import Evidence, Reading, User
from inventory.rules.evidence.remarks import remarks_on


def decode(sha256: str) -> Decoded | None:
    """Return what the decoder makes of an original; None where it is missing or changed.

    It touches no table. Raise DecoderStoppedError where it cannot be decoded just now.
    """
    return renditions.read_picture(sha256) if store.is_intact(sha256) else None


def seal_readings(
    *, person: User | None, at: datetime, decoded: Mapping[UUID, Decoded]
) -> dict[UUID, Reading]:
    """Seal what the decoder made of each of these photos; return the reading that holds.

    That is an earlier one where it says the same. Several that wait share a
    transaction: all rows are locked before the first event takes the chain.
    """
    with transaction.atomic():
        rows = (
            Evidence.everything.select_for_update(of=("self",))
            .select_related("location", "delivery", "shipment")
            .prefetch_related("readings")
            .filter(pk__in=decoded)
            .order_by("received_at", "pk")
        )
        held = {row.pk: _same(row, decoded[row.pk]) for row in rows}
        made = [_made(row, decoded[row.pk], at) for row in rows if held[row.pk] is None]
        Reading.objects.bulk_create(made)
        record_events(at=at, actor=person, parts=[_part(one) for one in made])
    every = [*made, *(one for one in held.values() if one)]
    return {one.evidence_id: one for one in every}


def _same(row: Evidence, decoded: Decoded) -> Reading | None:
    for reading in row.readings.all():
        if (reading.large_sha256, reading.small_sha256) == decoded.hashes:
            return reading
    return None


def _made(row: Evidence, decoded: Decoded, at: datetime) -> Reading:
    large, small = decoded.hashes
    return Reading(
        evidence=row,
        decoder=decoded.decoder,
        large_sha256=large,
        small_sha256=small,
        width=decoded.width,
        height=decoded.height,
        remarks=remarks_on(facts_of(row, decoded)),
        claims=decoded.claims,
        secret=uuid4(),
        read_at=at,
    )


def _part(reading: Reading) -> Part:
    """Return what the event of a reading tells.

    It has an event of its own: it comes after the photo was answered, and the event of
    the upload goes out with a claim file and this does not.
    """
    row = reading.evidence
    return Part(
        kind="evidence.read" if reading.large_sha256 else "evidence.unreadable",
        location=row.location,
        subjects=[row],
        data={"what": row.caption or row.get_kind_display()},
        rows=[reading],
    )


def read_photo(
    *, person: User | None, at: datetime, evidence: Evidence
) -> Reading | None:
    """Read a photo that is here already, and seal what the decoder makes of it.

    Return the reading that holds; None where the original is missing or changed, since
    nothing is sealed from that. Raise DecoderStoppedError as ``decode`` does.
    """
    decoded = decode(evidence.original_id)
    if decoded is None:
        return None
    sealed = seal_readings(person=person, at=at, decoded={evidence.pk: decoded})
    return sealed[evidence.pk]


def ensure_readings(
    *, person: User | None, at: datetime, photos: Iterable[Evidence]
) -> None:
    """Seal the copies of those photos that are not sealed as they would be printed.

    Call it before a document with photos is drawn, outside any transaction. A photo
    that just arrived is read now, and not later; photos of before have no reading; a
    newer decoder may make other bytes. A row that is read forgets what was joined to it.
    Raise DecoderStoppedError where one cannot be read just now.
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
