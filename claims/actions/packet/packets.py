"""Freezing a claim file, and returning the same bytes from then on."""

from dataclasses import dataclass
from datetime import date, datetime

from django.conf import settings
from django.db import transaction

from claims.actions.claim.steps import Step, locked, require_act
from claims.models import Claim, Packet
from claims.queries.claim.proof import evidence_of
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
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.evidence.reading import ensure_readings
from inventory.evidence.pictures import renditions
from inventory.evidence.seal.register import TreeState, tree_state
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_bytes
from inventory.evidence.store import packets
from inventory.evidence.store.originals import Stored
from inventory.models import User
from inventory.rules.core.sent_documents import PACKET


@dataclass(frozen=True)
class DrawnPacket:
    """A claim file whose bytes are stored and whose row is not written yet."""

    claim: Claim
    step: Step
    content: PacketContent
    tree: TreeState
    version: int
    document: Stored


def build_packet(*, claim: Claim, person: User, at: datetime, today: date) -> Packet:
    """Freeze the next claim file of a claim as it is now, and save its PDF.

    Raise RefusedError with every reason against it.
    """
    step = Step(person=person, at=at, today=today, version=_joined(claim).version)
    return freeze_packet(draw_packet(claim=claim, step=step))


def draw_packet(*, claim: Claim, step: Step) -> DrawnPacket:
    """Return the claim's next claim file. It takes seconds, and writes no row.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    from claims.documents.packet import checker_text  # noqa: PLC0415 - slow to import

    row = _joined(claim)
    if row.version != step.version:
        raise StaleRowError
    require_act(row, "build-packet", step)
    version = row.packets.count() + 1
    ensure_readings(person=step.person, at=step.at, photos=evidence_of(row.shipment))
    tree = tree_state()
    try:
        content = packet_content(
            row,
            version=version,
            as_of=step.today,
            tree=tree,
            person=step.person,
            checker=checker_text(),
        )
    except DamagesError as error:
        raise RefusedError(f"{error} No claim file was made.") from error
    if content is None:
        raise RefusedError("The claim has no lines. Add a finding first.")
    document = store_document(draw(content))
    return DrawnPacket(row, step, content, tree, version, document)


def freeze_packet(drawn: DrawnPacket) -> Packet:
    """Save a claim file that was drawn. The claim must not have changed since.

    The content, the day and the state of the event tree are frozen; the claim file's
    own event comes after that state. Raise RefusedError and StaleRowError.
    """
    step, document = drawn.step, drawn.document
    with transaction.atomic():
        begin_sending(document)
        held = locked(drawn.claim)
        if held.version != step.version:
            raise StaleRowError
        if held.packets.count() + 1 != drawn.version:
            raise RefusedError(
                "Someone made a claim file of this claim just now. Check that one "
                "first."
            )
        packet = Packet.objects.create(
            claim=held,
            packet_version=drawn.version,
            as_of=step.today,
            content=frozen.to_json(drawn.content),
            tree_size=drawn.tree.size,
            root=drawn.tree.root,
            sha256=document.sha256,
            size=document.size,
            made_at=step.at,
            made_by=step.person,
        )
        keep_sent(
            document,
            about=packet,
            kind=PACKET,
            version=drawn.version,
            location=held.location,
            person=step.person,
            at=step.at,
        )
        _tell(packet, step)
    return packet


def _tell(packet: Packet, step: Step) -> None:
    claim = packet.claim
    record_event(
        kind="packet.made",
        at=step.at,
        actor=step.person,
        location=claim.location,
        subjects=[claim.shipment, claim],
        data={
            "number": claim.number,
            "version": packet.packet_version,
            "sha": packet.sha256,
            "as_of": step.today.isoformat(),
            "tree_size": packet.tree_size,
            "root": packet.root,
        },
    )


def _joined(claim: Claim) -> Claim:
    return Claim.objects.select_related(
        "location",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
    ).get(pk=claim.pk)


def draw(content: PacketContent) -> bytes:
    """Return the claim file as PDF bytes.

    A rendition that is missing, or not the one in the content, is made again.
    """
    from claims.documents.packet import packet_pdf  # noqa: PLC0415 - slow to import

    photos = [
        *(photo for entry in content.findings for photo in entry.photos),
        *(photo for receipt in content.exceptions for photo in receipt.photos),
    ]
    for photo in photos:
        if photo.picture is not None:
            sealed = {photo.picture.sha256}
            renditions.ensure_rendition(photo.sha256, 1600, sealed)
    return packet_pdf(content, root=settings.RENDITION_ROOT)


def packet_bytes(packet: Packet) -> bytes:
    """Return the bytes with which the claim file was made. They are never drawn again.

    A claim file made before documents were kept is in the packets folder until
    ``keep_sent_documents`` has taken it in. Raise LostDocumentError.
    """
    data = last_sent_bytes(packet, PACKET)
    if data is None:
        data = packets.read_packet(packet.sha256)
    if data is None:
        raise LostDocumentError(
            f"This claim file ({packet.sha256[:12]}) was lost before claim files were "
            "kept as originals. It is not drawn again, because it would not be what "
            "went out. Ask your administrator for a backup."
        )
    return data
