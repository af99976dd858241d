"""Freezing a claim file, and returning the same bytes from then on."""

import hashlib
from datetime import date, datetime

from django.conf import settings
from django.db import transaction

from claims.actions.claim.steps import Step, locked, require_act
from claims.models import Claim, Packet
from claims.queries.packet.gathering import packet_content
from claims.rules.damages.facts import DamagesError
from claims.rules.packet import content as frozen
from claims.rules.packet.content import PacketContent
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.evidence.pictures import renditions
from inventory.evidence.seal.register import tree_state
from inventory.evidence.store import packets
from inventory.models import User


class ChangedPacketError(Exception):
    """A claim file that cannot be made again as it was; the message can be shown."""


def build_packet(*, claim: Claim, person: User, at: datetime, today: date) -> Packet:
    """Freeze the claim's next claim file and save its PDF.

    The content, the day and the state of the event tree are frozen; the claim file's
    own event comes after that state. Drawing takes seconds, so it is done before
    the transaction. Raise RefusedError with every reason against it.
    """
    from claims.documents.packet import checker_text  # noqa: PLC0415 - slow to import

    row = _joined(claim)
    step = Step(person=person, at=at, today=today, version=row.version)
    require_act(row, "build-packet", step)
    version = row.packets.count() + 1
    tree = tree_state()
    try:
        content = packet_content(
            row,
            version=version,
            as_of=today,
            tree=tree,
            person=person,
            checker=checker_text(),
        )
    except DamagesError as error:
        raise RefusedError(f"{error} No claim file was made.") from error
    if content is None:
        raise RefusedError("The claim has no lines. Add a finding first.")
    data = draw(content)
    with transaction.atomic():
        held = locked(row)
        if held.packets.count() + 1 != version:
            raise RefusedError(
                "Someone made a claim file of this claim just now. Check that one "
                "first."
            )
        packet = Packet.objects.create(
            claim=held,
            packet_version=version,
            as_of=today,
            content=frozen.to_json(content),
            tree_size=tree.size,
            root=tree.root,
            sha256=hashlib.sha256(data).hexdigest(),
            size=len(data),
            made_at=at,
            made_by=person,
        )
        packets.keep_packet(data)
        record_event(
            kind="packet.made",
            at=at,
            actor=person,
            location=held.location,
            subjects=[held.shipment, held],
            data={
                "number": held.number,
                "version": version,
                "sha": packet.sha256,
                "as_of": today.isoformat(),
                "tree_size": tree.size,
                "root": tree.root,
            },
        )
    return packet


def _joined(claim: Claim) -> Claim:
    return Claim.objects.select_related(
        "location",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
    ).get(pk=claim.pk)


def draw(content: PacketContent) -> bytes:
    """Return the claim file as PDF bytes, its renditions made again where missing."""
    from claims.documents.packet import packet_pdf  # noqa: PLC0415 - slow to import

    photos = [
        *(photo for entry in content.findings for photo in entry.photos),
        *(photo for receipt in content.exceptions for photo in receipt.photos),
    ]
    for photo in photos:
        if photo.picture is not None:
            renditions.ensure_rendition(photo.sha256, 1600)
    return packet_pdf(content, root=settings.RENDITION_ROOT)


def packet_bytes(packet: Packet) -> bytes:
    """Return a claim file's bytes: the saved file, or drawn again from the frozen content.

    Raise ChangedPacketError where the same bytes cannot be made.
    """
    from inventory.documents.core.pictures import PictureError  # noqa: PLC0415 - slow to import

    kept = packets.read_packet(packet.sha256)
    if kept is not None:
        return kept
    try:
        data = draw(frozen.from_json(packet.content))
    except PictureError as error:
        raise ChangedPacketError(
            f"{error} This claim file cannot be made again as it was. Its content "
            "and hash are saved. Ask your administrator for a backup of the file."
        ) from error
    if hashlib.sha256(data).hexdigest() != packet.sha256:
        raise ChangedPacketError(
            "Drawn again, this claim file has different bytes. It is not shown. Ask "
            "your administrator for a backup of the file."
        )
    packets.keep_packet(data)
    return data
