"""Making the lighter edition of a claim file: drafted, confirmed, frozen."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from io import SEEK_END
from pathlib import Path
from typing import BinaryIO

from django.db import transaction

from claims.actions.packet.drawing import draw_into, ensure_pictures, told_as_refusal
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
from inventory.actions.core.events import lock_chain, record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document_in,
)
from inventory.actions.core.versions import RefusedError
from inventory.evidence.pictures.renditions import (
    UnsealedPictureError,
    sealed_rendition,
)
from inventory.evidence.pictures.smaller import (
    link_others,
    picture_of,
    smaller_jpeg,
)
from inventory.evidence.store import drawn_files
from inventory.evidence.store.drawn_files import GONE, NotDrawnError, Say
from inventory.evidence.store.originals import Stored
from inventory.evidence.store.own_folders import own_folder
from inventory.models import User
from inventory.rules.core import frozen
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
    """A lighter edition as it would be frozen now. ``digest`` is what is confirmed.

    ``bytes`` is the size of its PDF, which is in the file of this ``name``.
    """

    packet: Packet
    limit: int
    content: PacketContent
    lighter: Lighter
    bytes: int
    name: str

    @property
    def digest(self) -> str:
        """Return the SHA-256 of what it is made of."""
        return hashlib.sha256(to_json(self.lighter).encode()).hexdigest()

    @property
    def size(self) -> str:
        """Return its size in words."""
        return size_words(self.bytes)


@dataclass(frozen=True)
class DrawnLighter:
    """A lighter edition whose bytes are stored and whose row is not written yet."""

    draft: LighterDraft
    document: Stored


def draft_lighter(*, packet: Packet, mb: int, today: date) -> LighterDraft:
    """Return the largest lighter edition that fits into so many MB; save nothing.

    Its PDF is drawn once, into a file. ``packet`` comes with its claim. Raise
    RefusedError where none fits, none is needed, or none can be made, and
    NotDrawnYetError where it takes longer than a moment.
    """
    limit = mb * MB
    content = _content(packet)
    if packet.size <= limit:
        raise RefusedError(
            f"The claim file is {size_words(packet.size)} and fits into {mb} MB as it "
            "is. Nothing was saved. Send the claim file itself."
        )
    name = _name(packet, mb, today)
    making = _Making(packet, content, limit, today)
    with told_as_refusal():
        with drawn_files.drawn_now(name, making.draw_largest) as file:
            size = file.seek(0, SEEK_END)
        lighter = frozen.from_json(Lighter, drawn_files.facts_of(name))
    return LighterDraft(packet, limit, content, lighter, size, name)


def lighter_preview(draft: LighterDraft, *, mark: str) -> BinaryIO:
    """Return the preview of this edition as an open PDF, marked on every page.

    Raise RefusedError and NotDrawnYetError.
    """

    def marked(out: BinaryIO, say: Say) -> None:
        with own_folder() as folder:
            _make_smaller(draft.content, _level_of(draft.lighter), folder, say)
            _write(draft.content, draft.lighter, folder, out=out, say=say, mark=mark)

    with told_as_refusal():
        return drawn_files.drawn_now(_preview_name(draft.name), marked)


def lighter_being_drawn(packet: Packet, mb: int, today: date) -> str | None:
    """Return how far this lighter edition is; None where nobody draws it now."""
    return drawn_files.far_or_none(_name(packet, mb, today))


def preview_being_drawn(packet: Packet, mb: int, today: date) -> str | None:
    """Return likewise how far its preview is."""
    return drawn_files.far_or_none(_preview_name(_name(packet, mb, today)))


def _name(packet: Packet, mb: int, today: date) -> str:
    """Return the name of its file: it is drawn of frozen content alone."""
    return f"lighter-{packet.pk}-{packet.sha256[:16]}-{mb}-{today.isoformat()}"


def _preview_name(name: str) -> str:
    return f"{name}-draft"


@dataclass(frozen=True)
class _Making:
    """What the thread that draws needs to know."""

    packet: Packet
    content: PacketContent
    limit: int
    today: date

    def draw_largest(self, out: BinaryIO, say: Say) -> str:
        """Draw the largest that fits; return what it is made of, as JSON."""
        ensure_pictures(self.content)
        packet, least = self.packet, 0
        for level in LEVELS:
            with own_folder() as folder:
                smaller, saved = _make_smaller(self.content, level, folder, say)
                if packet.size - saved > self.limit and level is not LEVELS[-1]:
                    continue
                lighter = Lighter(
                    version=self.content.version,
                    full_sha256=packet.sha256,
                    full_size=size_words(packet.size),
                    side=level.side,
                    made_on=self.today.isoformat(),
                    pictures=smaller,
                )
                out.seek(0)
                out.truncate()
                _write(self.content, lighter, folder, out=out, say=say)
                least = out.seek(0, SEEK_END)
            if least <= self.limit:
                return to_json(lighter)
        raise NotDrawnError(
            f"With the smallest pictures it is still {size_words(least)}, more than "
            f"{self.limit // MB} MB. Nothing was saved. Enter a larger limit, or send "
            "the claim file another way."
        )


def _write(
    content: PacketContent,
    lighter: Lighter,
    folder: Path,
    *,
    out: BinaryIO,
    say: Say,
    mark: str = "",
) -> None:
    """Draw the lighter edition with the smaller copies that the folder holds."""
    whole = with_smaller(content, lighter)
    link_others(folder, _pages(whole))
    draw_into(out, whole, root=folder, mark=mark, lighter=lighter, say=say)


def confirm_drawn(draft: LighterDraft, *, seen: str) -> DrawnLighter:
    """Store the bytes of the lighter edition that was read, before any transaction.

    Raise RefusedError where it is another by now, or where the disk refuses.
    """
    if draft.digest != seen:
        raise RefusedError(CHANGED)
    file = drawn_files.finished(draft.name)
    if file is None:
        raise RefusedError(GONE)
    with file:
        return DrawnLighter(draft, store_document_in(file))


def freeze_lighter(*, drawn: DrawnLighter, person: User, at: datetime) -> LighterFile:
    """Save a lighter edition that was drawn; its event holds its hash.

    Raise RefusedError where a photo of it was hidden meanwhile.
    """
    draft, document = drawn.draft, drawn.document
    packet = draft.packet
    claim = packet.claim
    with transaction.atomic():
        begin_sending(document)
        lock_chain()  # from here on nobody hides a photo
        if hidden_originals(packet):
            raise RefusedError(HIDDEN)
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


def _level_of(lighter: Lighter) -> Level:
    return next(level for level in LEVELS if level.side == lighter.side)


def _make_smaller(
    content: PacketContent, level: Level, folder: Path, say: Say
) -> tuple[tuple[SmallerPicture, ...], int]:
    """Put the smaller pictures into the folder; return where they go, and bytes saved."""
    smaller: list[SmallerPicture] = []
    saved, total = 0, len(content.exhibits)
    for count, one in enumerate(content.exhibits, start=1):
        say(f"Making the pictures smaller: exhibit {count} of {total}")
        for place, page in enumerate(one.source):
            data = _sealed(one.sha256, page)
            less = smaller_jpeg(data, level.side, level.quality) if data else b""
            if data is None or len(less) >= len(data):
                continue
            picture = picture_of(less)
            (folder / picture.path).write_bytes(less)
            smaller.append(SmallerPicture(one.number, place, picture))
            saved += len(data) - len(less)
    return tuple(smaller), saved


def _sealed(original: str, page: Picture) -> bytes | None:
    try:
        return sealed_rendition(original, 1600, {page.sha256})
    except UnsealedPictureError as error:
        raise NotDrawnError(str(error)) from error


def _pages(content: PacketContent) -> Iterator[Picture | PdfPage]:
    for one in content.exhibits:
        yield from one.source
        yield from one.bound
