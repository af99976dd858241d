"""Making the lighter edition of a claim file: drafted, confirmed, frozen."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from claims.actions.packet.packets import ensure_pictures
from claims.models import LighterFile, Packet
from claims.queries.packet.files import hidden_originals
from claims.rules.packet.content import PacketContent, from_json
from claims.rules.packet.lighter import (
    LEVELS,
    MB,
    Level,
    Lighter,
    SmallerPicture,
    size_words,
    to_json,
    with_smaller,
)
from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError
from inventory.evidence.pictures.renditions import sealed_rendition
from inventory.evidence.pictures.smaller import drawn_from, picture_of, smaller_jpeg
from inventory.evidence.store.originals import Stored
from inventory.models import User
from inventory.rules.core.frozen import FrozenError
from inventory.rules.core.pictures import PdfPage, Picture
from inventory.rules.core.sent_documents import PACKET

OLDER = (
    "This claim file was made in an older form, so no lighter edition is made of it. "
    "Nothing was saved. Make the next claim file, then its lighter edition."
)
HIDDEN = (
    "A photo of this claim file was hidden since, so no lighter edition is made of it. "
    "Nothing was saved. Make the next claim file, then its lighter edition."
)
CHANGED = (
    "The lighter edition is no longer what you read. Nothing was saved. Open the "
    "preview again."
)


@dataclass(frozen=True)
class LighterDraft:
    """A lighter edition as it would be frozen now. ``digest`` is what is confirmed."""

    packet: Packet
    limit: int
    content: PacketContent
    lighter: Lighter
    made: dict[str, bytes]
    pdf: bytes

    @property
    def digest(self) -> str:
        """Return the SHA-256 of what it is made of."""
        return hashlib.sha256(to_json(self.lighter).encode()).hexdigest()

    @property
    def size(self) -> str:
        """Return its size in words."""
        return size_words(len(self.pdf))


@dataclass(frozen=True)
class DrawnLighter:
    """A lighter edition whose bytes are stored and whose row is not written yet."""

    draft: LighterDraft
    document: Stored


def draft_lighter(*, packet: Packet, mb: int, today: date) -> LighterDraft:
    """Return the largest lighter edition that fits into so many MB; save nothing.

    ``packet`` comes with its claim. Raise RefusedError where none fits, none is
    needed, or none can be made.
    """
    limit = mb * MB
    content = _content(packet)
    if packet.size <= limit:
        raise RefusedError(
            f"The claim file is {size_words(packet.size)} and fits into {mb} MB as it "
            "is. Nothing was saved. Send the claim file itself."
        )
    ensure_pictures(content)
    draft = None
    for level in LEVELS:
        made, smaller, saved = _smaller(content, level)
        if packet.size - saved > limit and level is not LEVELS[-1]:
            continue
        lighter = Lighter(
            version=content.version,
            full_sha256=packet.sha256,
            full_size=size_words(packet.size),
            side=level.side,
            made_on=today.isoformat(),
            pictures=smaller,
        )
        pdf = draw_lighter(content, lighter, made)
        draft = LighterDraft(packet, limit, content, lighter, made, pdf)
        if len(pdf) <= limit:
            return draft
    least = draft.size if draft else ""
    raise RefusedError(
        f"With the smallest pictures it is still {least}, more than {mb} MB. Nothing "
        "was saved. Enter a larger limit, or send the claim file another way."
    )


def draw_lighter(
    content: PacketContent, lighter: Lighter, made: dict[str, bytes], *, mark: str = ""
) -> bytes:
    """Return the lighter edition as PDF bytes."""
    from claims.documents.packet import packet_pdf  # noqa: PLC0415 - slow to import

    whole = with_smaller(content, lighter)
    others = (page for page in _pages(whole) if page.path not in made)
    with drawn_from(made, others) as root:
        return packet_pdf(whole, root=root, mark=mark, lighter=lighter)


def confirm_drawn(draft: LighterDraft, *, seen: str) -> DrawnLighter:
    """Store the bytes of the lighter edition that was read, before any transaction.

    Raise RefusedError where it is another by now, or where the disk refuses.
    """
    if draft.digest != seen:
        raise RefusedError(CHANGED)
    return DrawnLighter(draft, store_document(draft.pdf))


def freeze_lighter(*, drawn: DrawnLighter, person: User, at: datetime) -> LighterFile:
    """Save a lighter edition that was drawn; its event holds its hash."""
    draft, document = drawn.draft, drawn.document
    packet = draft.packet
    claim = packet.claim
    with transaction.atomic():
        begin_sending(document)
        row = LighterFile.objects.create(
            packet=packet,
            limit_bytes=draft.limit,
            content=to_json(draft.lighter),
            sha256=document.sha256,
            size=document.size,
            made_at=at,
            made_by=person,
        )
        keep_sent(
            document,
            about=row,
            kind=PACKET,
            location=claim.location,
            person=person,
            at=at,
        )
        record_event(
            kind="packet.lighter",
            at=at,
            actor=person,
            location=claim.location,
            subjects=[claim.shipment, claim],
            data={
                "number": claim.number,
                "version": packet.packet_version,
                "size": size_words(document.size),
                "sha": document.sha256,
                "confirmed": draft.digest,
            },
        )
    return row


def _content(packet: Packet) -> PacketContent:
    try:
        content = from_json(packet.content)
    except FrozenError:
        raise RefusedError(OLDER) from None
    if hidden_originals(packet):
        raise RefusedError(HIDDEN)
    return content


def _smaller(
    content: PacketContent, level: Level
) -> tuple[dict[str, bytes], tuple[SmallerPicture, ...], int]:
    """Return the smaller pictures by path, where they go, and the bytes saved."""
    made: dict[str, bytes] = {}
    smaller: list[SmallerPicture] = []
    saved = 0
    for one in content.exhibits:
        for place, page in enumerate(one.source):
            data = sealed_rendition(one.sha256, 1600, {page.sha256})
            less = smaller_jpeg(data, level.side, level.quality) if data else b""
            if data is None or len(less) >= len(data):
                continue
            picture = picture_of(less)
            made[picture.path] = less
            smaller.append(SmallerPicture(one.number, place, picture))
            saved += len(data) - len(less)
    return made, tuple(smaller), saved


def _pages(content: PacketContent) -> Iterator[Picture | PdfPage]:
    for one in content.exhibits:
        yield from one.source
        yield from one.bound
