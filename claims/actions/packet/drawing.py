"""Drawing a claim file: into bytes, into an open file, and once into a file of its own."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

from django.conf import settings

from claims.queries.packet.files import are_shown, listed_in
from claims.rules.packet.content import PacketContent
from claims.rules.packet.lighter import Lighter
from inventory.actions.core.versions import RefusedError
from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.exhibits import ensure_page
from inventory.evidence.store import drawn_files
from inventory.evidence.store.drawn_files import NotDrawnError, Say, say_nothing

LOST_PICTURE = (
    "A photo of this claim file is missing or damaged on our disk, so the PDF could not "
    "be made. Nothing was saved. Ask your administrator to check the files."
)


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


@contextmanager
def told_as_refusal() -> Iterator[None]:
    """Raise RefusedError with the words of why a document cannot be drawn."""
    try:
        yield
    except NotDrawnError as error:
        raise RefusedError(str(error)) from error


def preview(
    claim_id: int, content: PacketContent, digest: str, *, mark: str
) -> BinaryIO:
    """Return a draft as an open PDF, drawn once.

    ``digest`` is the content's SHA-256. Raise NotDrawnYetError and RefusedError.
    """

    def draw_marked(out: BinaryIO, say: Say) -> str:
        draw_into(out, content, mark=mark, say=say)
        return " ".join(listed_in(content))

    with told_as_refusal():
        return drawn_files.drawn_now(_preview_name(claim_id, digest), draw_marked)


def confirmed_file(
    claim_id: int, content: PacketContent, digest: str, *, within: float | None = None
) -> BinaryIO:
    """Return what is being confirmed as an open PDF, drawn once.

    ``within`` is for how many seconds this waits. Raise NotDrawnYetError and
    RefusedError.
    """
    with told_as_refusal():
        return drawn_files.drawn_now(
            _final_name(claim_id, digest),
            lambda out, say: draw_into(out, content, say=say),
            within=within,
        )


def finished_preview(claim_id: int, digest: str) -> BinaryIO | None:
    """Return the PDF of the draft with this digest where it is drawn to its end.

    None too where a photo or document in it was hidden since.
    """
    name = _preview_name(claim_id, digest)
    file = drawn_files.finished(name) if digest else None
    if file is None:
        return None
    with suppress(NotDrawnError):
        if are_shown(drawn_files.facts_of(name).split()):
            return file
    file.close()
    return None


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
