"""The content of a claim file, frozen: text already formatted, and pictures.

Every amount, date and measure is TEXT as printed, so a claim file made again
years later does not depend on how money or dates are formatted then. Empty text
means: not known, and the page says so or leaves the row out.
"""

import json
from dataclasses import dataclass
from typing import Literal

from claims.rules.packet.manifest import Manifest, manifest_text
from inventory.rules.core import frozen
from inventory.rules.core.pictures import Picture
from inventory.rules.evidence.markup import Mark

Paper = Literal["letter", "a4"]
PaperState = Literal["present", "missing", "not needed"]

FORMAT = 3
"""Raised when the shape of the content changes; an older packet names its own.

1: no list of originals was attached, and none is when it is drawn again.
2: the list and the checker are attached; the root is printed in groups.
3: photos have marks, drawn on the copy, and name the file of their original.
"""


@dataclass(frozen=True)
class Party:
    """A name and the lines of its address (street, place, email, phone)."""

    name: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Row:
    """A label and its value, for facts that have no field of their own."""

    label: str
    value: str


@dataclass(frozen=True)
class ShipmentFacts:
    """Facts sufficient to identify the shipment (49 CFR 370.3(b)(1)).

    ``goods`` names each machine with its serial. ``delivered_on`` holds one text a
    delivery. ``more`` takes whatever else identifies it (trailer, seal, terms).
    """

    pro: str
    bol_number: str
    bol_date: str
    carrier: str
    shipper: str
    consignee: str
    origin: str
    destination: str
    pieces: str
    weight: str
    delivered_on: tuple[str, ...]
    goods: tuple[str, ...] = ()
    more: tuple[Row, ...] = ()


@dataclass(frozen=True)
class ClaimStatement:
    """The claim itself: to whom, by whom, for which shipment, for how much.

    ``kind`` reads "Damage", "Shortage" or "Damage and shortage". ``assertion`` is
    the sentence that asserts liability (49 CFR 370.3(b)(2)); ``amount`` with its
    ``currency`` code is the demand (49 CFR 370.3(b)(3)). ``supplement`` is empty for
    a first claim, else "Supplement 1, adding lines 4 to 6".
    """

    claim_number: str
    kind: str
    carrier: Party
    claimant: Party
    carrier_claim_number: str
    shipment: ShipmentFacts
    assertion: str
    amount: str
    currency: str
    statement_date: str
    signed_by: str
    signed_as: str = ""
    supplement: str = ""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Step:
    """One step of arithmetic: "less salvage, sold to ...", "- 150.00".

    ``is_total`` marks a sum: it is ruled above and printed stronger.
    """

    text: str
    amount: str
    is_total: bool = False


@dataclass(frozen=True)
class Line:
    """One loss with the steps that lead to its amount; ``note`` explains a change."""

    number: str
    label: str
    outcome: str
    steps: tuple[Step, ...]
    amount: str
    note: str = ""


@dataclass(frozen=True)
class Schedule:
    """The lines, then the worksheet that leads from their sum to the demand.

    ``basis`` is the measure of the loss and the reason for it. ``worksheet`` ends
    with the amount demanded. ``limits`` are sentences about limits of liability.
    """

    basis: str
    lines: tuple[Line, ...]
    worksheet: tuple[Step, ...]
    limits: tuple[str, ...] = ()


@dataclass(frozen=True)
class Photo:
    """A photo with its facts, our clock and the camera's claim separate.

    ``picture`` is None where none can be drawn; then only the caption is printed.
    ``sha256`` is of the ORIGINAL, which is what the list of evidence names, and
    ``file`` is the name it came with. ``marks`` are drawn over the copy.
    """

    picture: Picture | None
    caption: str
    received: str
    camera_time: str
    taken_by: str
    sha256: str
    file: str = ""
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True)
class FindingEntry:
    """One finding: facts separate from opinion, and its photos.

    ``faces`` holds the marked faces of the crate drawing, any of side-1 (label
    side), side-2, side-3, side-4, top, base, inside; clockwise from the label side.
    """

    number: str
    title: str
    subject: str
    stage: str
    severity: str
    found: str
    facts: str
    visible_at_delivery: str
    opinion: str = ""
    repair: str = ""
    faces: tuple[str, ...] = ()
    photos: tuple[Photo, ...] = ()


@dataclass(frozen=True)
class ReceiptExceptions:
    """The exceptions written on one delivery's receipt, verbatim, and on whose copies.

    ``words`` is empty where nothing was written; ``stands_on`` names the copies,
    ``carrier_image`` what the carrier's POD shows.
    """

    delivery: str
    words: str
    stands_on: str
    how_signed: str
    driver: str = ""
    carrier_image: str = ""
    photos: tuple[Photo, ...] = ()


@dataclass(frozen=True)
class Ruler:
    """Positions of safe date, due date and as-of date between start and due.

    Positions are thousandths of the ruler, 0 to 1000; None leaves the mark out.
    """

    start: str
    safe_at: int
    due_at: int
    as_of_at: int | None = None


@dataclass(frozen=True)
class DeadlineEntry:
    """One dated duty: how it was counted and on what authority.

    ``status`` reads like "met 12 March 2026", "passed ..." or "running".
    """

    duty: str
    owed_by: str
    due: str
    safe: str
    status: str
    steps: tuple[str, ...]
    authority: str
    confidence: str
    effect: str = ""
    ruler: Ruler | None = None


@dataclass(frozen=True)
class Reasoning:
    """Why this claimant may claim: the answer, its reasons, its authorities."""

    answer: str
    reasons: tuple[str, ...] = ()
    authorities: tuple[str, ...] = ()


@dataclass(frozen=True)
class ProofPaper:
    """A document the claim needs; ``note`` is why it is missing or not needed."""

    name: str
    state: PaperState
    who_gets_it: str = ""
    note: str = ""


@dataclass(frozen=True)
class StoryEvent:
    """One entry of the chronology."""

    when: str
    what: str
    by: str = ""


@dataclass(frozen=True)
class EvidenceEntry:
    """One original as received: kind, file type, size, our clock, full SHA-256."""

    number: str
    kind: str
    file_kind: str
    size: str
    received: str
    sha256: str


@dataclass(frozen=True)
class EventTree:
    """Size and root of the tree of recorded events that the claim file is based on."""

    size: str
    root: str


@dataclass(frozen=True)
class PacketContent:
    """One version of one claim file. Making it again gives the same bytes.

    ``title`` is the document's own name, such as "Claim RIV-2026-0007". ``checker``
    is the program attached with the ``manifest``, frozen with it.
    """

    title: str
    version: str
    as_of: str
    paper: Paper
    statement: ClaimStatement
    schedule: Schedule
    findings: tuple[FindingEntry, ...]
    exceptions: tuple[ReceiptExceptions, ...]
    deadlines: tuple[DeadlineEntry, ...]
    reasoning: Reasoning
    papers: tuple[ProofPaper, ...]
    chronology: tuple[StoryEvent, ...]
    evidence: tuple[EvidenceEntry, ...]
    tree: EventTree
    manifest: Manifest | None = None
    checker: str = ""
    format: int = FORMAT


def to_json(content: PacketContent) -> str:
    """Freeze the content as canonical JSON (sorted keys, no spaces, unescaped letters).

    Raise ``frozen.FrozenError`` for a picture whose path is absolute: frozen content
    may not depend on a folder of one machine.
    """
    return frozen.to_json(content)


def from_json(text: str) -> PacketContent:
    """Read what ``to_json`` wrote, in any format; equal content comes back.

    Raise ``frozen.FrozenError``, one line, for anything else.
    """
    return frozen.from_json(PacketContent, _brought_forward(text))


def _brought_forward(text: str) -> str:
    """Add to content of an earlier format the keys that it did not have, empty."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return text
    if not isinstance(data, dict) or type(data.get("format")) is not int:
        return text
    added: dict[str, object] = {}
    if data["format"] == 1 and not data.keys() & {"manifest", "checker"}:
        added |= {"manifest": None, "checker": ""}
    if data["format"] in {1, 2}:
        added |= {name: _with_marks(data.get(name)) for name in _WITH_PHOTOS}
    return json.dumps({**data, **added}) if added else text


_WITH_PHOTOS = ("findings", "exceptions")


def _with_marks(entries: object) -> object:
    """Return findings or receipts with photos that have a file and marks, empty."""
    if not isinstance(entries, list):
        return entries
    return [
        {**one, "photos": [_with_no_marks(photo) for photo in one["photos"]]}
        if isinstance(one, dict) and isinstance(one.get("photos"), list)
        else one
        for one in entries
    ]


def _with_no_marks(photo: object) -> object:
    if not isinstance(photo, dict) or photo.keys() & {"file", "marks"}:
        return photo
    return {**photo, "file": "", "marks": []}


def manifest_bytes(content: PacketContent) -> bytes:
    """Return the list of originals as attached; empty where there is none."""
    if content.manifest is None:
        return b""
    text = manifest_text(
        content.manifest,
        title=content.title,
        version=content.version,
        as_of=content.as_of,
    )
    return text.encode()
