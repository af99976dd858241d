"""Freezing a claim's packet, and giving the same bytes back ever after."""

from datetime import date, datetime

from django.conf import settings
from django.db import transaction

from claims.actions.claim.steps import Step, locked, require_act
from claims.documents.checker import checker_text
from claims.documents.packet import packet_pdf
from claims.models import Claim, Packet
from claims.queries.packet.gathering import packet_content
from claims.rules.damages.facts import DamagesError
from claims.rules.packet import content as frozen
from claims.rules.packet.content import PacketContent
from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError
from inventory.evidence.pictures import renditions
from inventory.evidence.seal.register import tree_state
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_bytes
from inventory.evidence.store import packets
from inventory.models import User
from inventory.rules.core.sent_documents import PACKET


def build_packet(*, claim: Claim, person: User, at: datetime, today: date) -> Packet:
    """Freeze the claim's next packet as things stand and keep its file for good.

    The content, the day and the state of the event tree are frozen; the packet's
    own event lies after that state. Drawing takes seconds, so it is done before
    the transaction, and the file is stored as an original before the rows. Raises
    RefusedError with every reason against.
    """
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
        raise RefusedError(f"{error} No packet was made.") from error
    if content is None:
        raise RefusedError("The claim has no lines. Add a finding first.")
    document = store_document(draw(content))
    with transaction.atomic():
        begin_sending(document)
        held = locked(row)
        if held.packets.count() + 1 != version:
            raise RefusedError(
                "Someone made a packet of this claim just now. Look at it first."
            )
        packet = Packet.objects.create(
            claim=held,
            packet_version=version,
            as_of=today,
            content=frozen.to_json(content),
            tree_size=tree.size,
            root=tree.root,
            sha256=document.sha256,
            size=document.size,
            made_at=at,
            made_by=person,
        )
        keep_sent(
            document,
            about=packet,
            kind=PACKET,
            version=version,
            location=held.location,
            person=person,
            at=at,
        )
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
    """Return the packet as PDF bytes, its renditions made again where missing."""
    photos = [
        *(photo for entry in content.findings for photo in entry.photos),
        *(photo for receipt in content.exceptions for photo in receipt.photos),
    ]
    for photo in photos:
        if photo.picture is not None:
            renditions.ensure_rendition(photo.sha256, 1600)
    return packet_pdf(content, root=settings.RENDITION_ROOT)


def packet_bytes(packet: Packet) -> bytes:
    """Return the bytes with which the packet was made. They are never drawn again.

    A packet made before documents were kept lies in the packets folder until
    ``keep_sent_documents`` has taken it in. Raises LostDocumentError.
    """
    data = last_sent_bytes(packet, PACKET)
    if data is None:
        data = packets.read_packet(packet.sha256)
    if data is None:
        raise LostDocumentError(
            f"The file of this packet ({packet.sha256[:12]}) was lost before packets "
            "were kept as originals. It is not drawn again, because it would not be "
            "what went out. Ask your administrator for a backup."
        )
    return data
