"""Drafting and confirming a claim file, and returning the same bytes from then on."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from math import inf
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.db import transaction

from claims.actions.claim.steps import Step, locked, require_act
from claims.models import Claim, Packet
from claims.queries.claim.proof import evidence_of
from claims.queries.packet.exhibits import PagesOf, pages_as_in
from claims.queries.packet.gathered import gather
from claims.queries.packet.gathering import packet_content, ready_facts
from claims.rules.damages.facts import DamagesError
from claims.rules.packet import content as frozen
from claims.rules.packet.content import PacketContent
from claims.rules.packet.lighter import Lighter
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
from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.exhibits import ensure_page, pages_of
from inventory.evidence.pictures.renditions import UnsealedPictureError
from inventory.evidence.seal.register import TreeState, last_sequence, tree_state
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_file
from inventory.evidence.seal.tiles import BrokenTreeError
from inventory.evidence.store import drawn_files, packets
from inventory.evidence.store.drawn_files import NotDrawnError, Say, say_nothing
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
LOST_PICTURE = (
    "A photo of this claim file is missing or damaged on our disk, so the PDF could not "
    "be made. Nothing was saved. Ask your administrator to check the files."
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

    ``pages`` gives the pages of each file. Raise RefusedError where there is nothing to draft.
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
    try:
        file = drawn_files.drawn_now(
            _final_name(draft.claim.pk, draft.digest),
            lambda out, say: draw_into(out, draft.content, say=say),
            within=within,
        )
    except NotDrawnError as error:
        raise RefusedError(str(error)) from error
    with file:
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


def draw(content: PacketContent, *, mark: str = "") -> bytes:
    """Return the claim file as PDF bytes.

    ``mark`` is printed on every page of what is not confirmed.
    """
    out = BytesIO()
    draw_into(out, content, mark=mark)
    return out.getvalue()


def draw_into(
    out: BinaryIO,
    content: PacketContent,
    *,
    mark: str = "",
    root: Path | None = None,
    lighter: Lighter | None = None,
    say: Say = say_nothing,
) -> None:
    """Write the claim file into an open file, so that it is never whole in memory.

    ``lighter`` makes it that lighter edition, with the pictures under ``root``.
    ``say`` is given the words of how far it is. Raise NotDrawnError where a picture
    is lost.
    """
    from claims.documents.packet import write_packet  # noqa: PLC0415 - slow to import
    from inventory.documents.core.pictures import PictureError  # noqa: PLC0415

    if root is None:
        ensure_pictures(content)
    try:
        write_packet(
            content,
            out,
            root=root or settings.RENDITION_ROOT,
            mark=mark,
            lighter=lighter,
            told=lambda what, number, total: say(_how_far(what, number, total)),
        )
    except PictureError as error:
        raise NotDrawnError(LOST_PICTURE) from error


def _how_far(what: str, number: int, total: int) -> str:
    if not total:
        return "Counting the pages"
    return {
        "page": f"Laying out page {number} of {total}",
        "picture": f"Writing picture {number} of {total}",
    }[what]


def preview(draft: Draft, *, mark: str) -> BinaryIO | None:
    """Return a draft as an open PDF; None while it takes longer than a moment.

    Raise NotDrawnError, once where it was begun earlier.
    """
    name = _preview_name(draft.claim.pk, draft.digest)
    drawn_files.tell_why(name)
    return drawn_files.drawn(
        name,
        lambda out, say: draw_into(out, draft.content, mark=mark, say=say),
    )


def finished_preview(claim_id: int, digest: str) -> BinaryIO | None:
    """Return the PDF of the draft with this digest where it is drawn to its end."""
    return drawn_files.finished(_preview_name(claim_id, digest)) if digest else None


def preview_being_drawn(claim_id: int, digest: str) -> str | None:
    """Return how far the PDF of this draft is; None where nobody draws it now."""
    return drawn_files.far_or_none(_preview_name(claim_id, digest))


def confirmed_being_drawn(claim_id: int, digest: str) -> str | None:
    """Return likewise how far the PDF is that is being confirmed."""
    return drawn_files.far_or_none(_final_name(claim_id, digest))


def _preview_name(claim_id: int, digest: str) -> str:
    """Return the name of the file of a preview: another content is another file."""
    return f"claim-{claim_id}-{digest}"


def _final_name(claim_id: int, digest: str) -> str:
    """Return likewise the name of the file of what is confirmed: nothing marks it."""
    return f"confirmed-{claim_id}-{digest}"


def forget_confirmed(claim_id: int, digest: str) -> None:
    """Remove the file of what was confirmed: its bytes are stored."""
    drawn_files.forget(_final_name(claim_id, digest))


def ensure_pictures(content: PacketContent) -> None:
    """Make every copy again that is missing, or is not the one in the content."""
    for exhibit in content.exhibits:
        for page in exhibit.source:
            renditions.ensure_rendition(exhibit.sha256, 1600, {page.sha256})
        for bound in exhibit.bound:
            ensure_page(exhibit.sha256, bound)


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
