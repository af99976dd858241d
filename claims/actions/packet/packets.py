"""Drafting and confirming a claim file, and returning the same bytes from then on."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from math import inf
from typing import BinaryIO

from django.db import transaction

from claims.actions.claim.steps import Step, locked, require_act
from claims.actions.packet.drawing import confirmed_file
from claims.models import Claim, Packet
from claims.queries.claim.proof import evidence_of
from claims.queries.packet.exhibits import PagesOf, pages_as_in
from claims.queries.packet.gathered import gather
from claims.queries.packet.gathering import packet_content, ready_facts
from claims.rules.damages.facts import DamagesError
from claims.rules.packet import content as frozen
from claims.rules.packet.content import PacketContent
from claims.rules.packet.originals import ALONG
from claims.rules.packet.readiness import what_blocks, what_warns
from inventory.actions.core.events import lock_chain, record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document_in,
)
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.evidence.reading import ensure_readings
from inventory.evidence.pictures.exhibits import pages_of
from inventory.evidence.pictures.renditions import UnsealedPictureError
from inventory.evidence.seal.register import TreeState, last_sequence, tree_state
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_file
from inventory.evidence.seal.tiles import BrokenTreeError
from inventory.evidence.store import packets
from inventory.evidence.store.originals import Stored
from inventory.models import User
from inventory.rules.core.sent_documents import PACKET

CHANGED = (
    "Something in this claim changed after you saw it, so what you confirm is no longer "
    "what you read. Nothing was saved. Open the preview again."
)
PHOTO_CAME = (
    "A photo of this claim came after you opened the page. Nothing was saved. Open the "
    "claim file again and read its preview."
)


@dataclass(frozen=True)
class Draft:
    """A claim file as it would be frozen now, and what stands against it.

    ``digest`` is the SHA-256 of the content: what a person confirms. ``camera`` is what
    the camera wrote into each original, as far as it was read.
    """

    claim: Claim
    content: PacketContent
    camera: tuple[Mapping[str, str], ...]
    tree: TreeState
    version: int
    blocks: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def digest(self) -> str:
        """Return the SHA-256 of the content as frozen."""
        return hashlib.sha256(frozen.to_json(self.content).encode()).hexdigest()


@dataclass(frozen=True)
class Confirmed:
    """What the person saw: the number of events it is based on, and its digest.

    ``originals`` is what the person chose: whether they go along.
    """

    size: int
    digest: str
    originals: str


@dataclass(frozen=True)
class DrawnPacket:
    """A claim file whose bytes are stored and whose row is not written yet.

    ``before`` is the number of the last event before its rows were read.
    """

    claim: Claim
    step: Step
    content: PacketContent
    tree: TreeState
    version: int
    seen: Confirmed
    document: Stored
    before: int


def build_packet(
    *,
    claim: Claim,
    person: User,
    at: datetime,
    today: date,
    originals: str = ALONG,
) -> Packet:
    """Draft, confirm and freeze the next claim file of a claim, as it is now.

    Raise RefusedError with every reason against it.
    """
    step = Step(person=person, at=at, today=today, version=_joined(claim).version)
    draft = draft_packet(claim=claim, step=step)
    seen = Confirmed(draft.tree.size, draft.digest, originals)
    return freeze_packet(draw_packet(claim=claim, step=step, seen=seen, within=inf))


def draft_packet(
    *,
    claim: Claim,
    step: Step,
    size: int | None = None,
    pages: PagesOf = pages_of,
) -> Draft:
    """Return the claim's next claim file over the first ``size`` events; nothing is saved.

    ``pages`` gives the pages of each file. Raise RefusedError where there is nothing
    to draft.
    """
    from claims.documents.packet import checker_text  # noqa: PLC0415 - slow to import

    row = _joined(claim)
    require_act(row, "build-packet", step)
    version = row.packets.count() + 1
    if size is None:  # what was seen is drawn of the copies that were sealed then
        photos = evidence_of(row.shipment)
        ensure_readings(person=step.person, at=step.at, photos=photos)
    try:
        tree = tree_state(size)
        gathered = gather(row, person=step.person, as_of=step.today)
        if gathered is None:
            raise RefusedError("The claim has no lines. Add a finding first.")
        content = packet_content(
            gathered, version=version, tree=tree, checker=checker_text(), pages=pages
        )
    except DamagesError as error:
        raise RefusedError(f"{error} No claim file was made.") from error
    except BrokenTreeError as error:
        raise RefusedError(str(error)) from error
    except UnsealedPictureError as error:  # it came after what was seen
        raise RefusedError(str(error) if size is None else PHOTO_CAME) from error
    facts = ready_facts(gathered)
    camera = tuple(file.seen.claims or {} for file in gathered.files)
    blocks, warnings = what_blocks(facts), what_warns(facts)
    return Draft(row, content, camera, tree, version, blocks, warnings)


def draw_packet(
    *, claim: Claim, step: Step, seen: Confirmed, within: float | None = None
) -> DrawnPacket:
    """Return the claim file that was confirmed. It takes seconds, and writes no row.

    It is drawn once into a file, however often it is asked for; ``within`` is how many
    seconds this waits for it. Raise NotDrawnYetError where it takes longer,
    RefusedError with every reason against it, and StaleRowError.
    """
    if _joined(claim).version != step.version:
        raise StaleRowError
    before = last_sequence()
    draft = draft_packet(claim=claim, step=step, size=seen.size)
    if draft.blocks:
        raise RefusedError(" ".join(draft.blocks))
    if draft.digest != seen.digest or draft.tree.size != seen.size:
        raise RefusedError(CHANGED)
    with confirmed_file(
        draft.claim.pk, draft.content, draft.digest, within=within
    ) as file:
        document = store_document_in(file)
    return DrawnPacket(
        draft.claim,
        step,
        draft.content,
        draft.tree,
        draft.version,
        seen,
        document,
        before,
    )


def freeze_packet(drawn: DrawnPacket) -> Packet:
    """Save a claim file that was drawn. Nothing in it must have changed since.

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
        lock_chain()  # from here on nobody changes what it shows
        if last_sequence() != drawn.before:
            _refuse_changed(drawn)
        packet = Packet.objects.create(
            claim=held,
            packet_version=drawn.version,
            as_of=step.today,
            content=frozen.to_json(drawn.content),
            tree_size=drawn.tree.size,
            root=drawn.tree.root,
            sha256=document.sha256,
            size=document.size,
            originals=drawn.seen.originals,
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
        _tell(packet, step, drawn.seen.digest)
    return packet


def _refuse_changed(drawn: DrawnPacket) -> None:
    """Draft it again, because something was recorded since it was drafted.

    No file is opened: everybody else waits.
    """
    again = draft_packet(
        claim=drawn.claim,
        step=drawn.step,
        size=drawn.seen.size,
        pages=pages_as_in(drawn.content.exhibits),
    )
    if again.blocks:
        raise RefusedError(" ".join(again.blocks))
    if again.digest != drawn.seen.digest:
        raise RefusedError(CHANGED)


def _tell(packet: Packet, step: Step, digest: str) -> None:
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
            "confirmed": digest,
            "originals": packet.get_originals_display().lower(),
        },
    )


def _joined(claim: Claim) -> Claim:
    return Claim.objects.select_related(
        "location",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
    ).get(pk=claim.pk)


def packet_bytes(packet: Packet) -> bytes:
    """Return the bytes with which the claim file was made. They are never drawn again.

    A claim file made before documents were kept is in the packets folder until
    ``keep_sent_documents`` has taken it in. Raise LostDocumentError.
    """
    with packet_file(packet) as file:
        return file.read()


def packet_file(packet: Packet) -> BinaryIO:
    """Return likewise an open file, so that they are never whole in memory."""
    file = last_sent_file(packet, PACKET)
    if file is not None:
        return file
    data = packets.read_packet(packet.sha256)
    if data is None:
        raise LostDocumentError(
            f"This claim file ({packet.sha256[:12]}) was lost before claim files were "
            "kept as originals. It is not drawn again, because it would not be what "
            "went out. Ask your administrator for a backup."
        )
    return BytesIO(data)
