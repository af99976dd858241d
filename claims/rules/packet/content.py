"""The content of a claim file, frozen: text already formatted, and pictures.

It holds facts and demands alone. Every amount, date and measure is TEXT as printed, so
a claim file never depends on how money or dates are formatted later. Empty text means:
not known, and the page leaves the row out.
"""

from dataclasses import dataclass
from typing import Literal

from claims.rules.packet.loss import AmountRow, Schedule, Step
from claims.rules.packet.manifest import Manifest
from claims.rules.packet.recorded import CustodyEntry, FindingEntry, ReceiptEntry
from inventory.rules.core import frozen
from inventory.rules.core.pictures import PdfPage, Picture
from inventory.rules.evidence.markup import Mark

Paper = Literal["letter", "a4"]
Edition = Literal["claim", "hand-over"]

FORMAT = 5
"""Raised when the shape of the content or of the file changes; an older claim file
names its own.

1: no list of originals was attached.
2: the list and the checker are attached; the root is printed in groups.
3: photos have marks, drawn on the copy, and name the file of their original.
4: what goes out holds facts and demands alone; its exhibits are bound in.
5: the content is that of 4, and the file is written as it is drawn, in other bytes.
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
class Signer:
    """Who certifies the statement and signs it."""

    name: str
    title: str = ""
    phone: str = ""


@dataclass(frozen=True)
class CoverLetter:
    """Page one: what happened, the demand as one sentence, what is asked for."""

    date: str
    addressee: Party
    references: tuple[Row, ...]
    opening: tuple[str, ...]
    demand: str
    closing: tuple[str, ...]
    pay_to: tuple[str, ...]
    enclosed: tuple[str, ...]


@dataclass(frozen=True)
class ShipmentFacts:
    """Facts sufficient to identify the shipment (49 CFR 370.3(b)(1)).

    ``delivered`` holds one text a delivery.
    """

    carrier: str
    scac: str
    pro: str
    bol: str
    shipper: str
    consignee: str
    origin: str
    trailer: str
    delivered: tuple[str, ...]
    driver: str
    pieces: str
    freight_class: str
    freight: str
    carrier_claim_number: str


@dataclass(frozen=True)
class ArticleFacts:
    """One damaged or missing article, as shipped and as found."""

    model: str
    serial: str
    condition: str
    packing: str
    crate: str
    weight: str
    crate_damage: str
    damage: str
    found: str
    seen_at_delivery: str


@dataclass(frozen=True)
class NoticeFacts:
    """Exceptions, notices, inspection, salvage, repair: what was done, and when."""

    exceptions: str
    notices: tuple[str, ...]
    inspection: str
    where: str
    salvage: str
    repair: str
    recovered: str


@dataclass(frozen=True)
class ClaimStatement:
    """The claim itself: to whom, by whom, for which shipment, for how much.

    ``assertion`` is the sentence that asserts liability (49 CFR 370.3(b)(2)), ``amount``
    with its ``currency`` the demand (49 CFR 370.3(b)(3)). ``rows`` add up to the lines,
    ``closing`` leads from them to the amount. ``no_other_claim`` is empty where nobody
    certified it (49 CFR 370.3(e)).
    """

    claim_number: str
    kind: str
    supplement: str
    carrier: Party
    claimant: Party
    assertion: str
    extent: str
    amount: str
    currency: str
    shipment: ShipmentFacts
    articles: tuple[ArticleFacts, ...]
    notice: NoticeFacts
    rows: tuple[AmountRow, ...]
    closing: tuple[Step, ...]
    no_other_claim: str
    certificate: str
    signer: Signer


@dataclass(frozen=True)
class Exhibit:
    """One exhibit, numbered from 1, with its pages as pictures.

    A photo has its copy in ``source``, a PDF its pages in ``bound``. Both are empty where
    the original is listed and not bound in; ``unbound`` says why that is, or why not all
    of its ``pages`` are. ``sha256`` is of the ORIGINAL and ``file`` its name in the
    archive of originals. ``marks`` are drawn
    over the copy of a photo, ``faces`` hatched beside it.
    """

    number: int
    kind: str
    title: str
    day: str
    by: str
    sha256: str
    pages: int
    source: tuple[Picture, ...] = ()
    bound: tuple[PdfPage, ...] = ()
    unbound: str = ""
    neutral_line: str = ""
    file: str = ""
    name: str = ""
    size: str = ""
    caption: str = ""
    facts: tuple[Row, ...] = ()
    marks: tuple[Mark, ...] = ()
    faces: tuple[str, ...] = ()

    @property
    def shown(self) -> int:
        """Return how many of its pages are bound in."""
        return len(self.source) + len(self.bound)


@dataclass(frozen=True)
class EventTree:
    """Size and root of the tree of recorded events that the claim file is based on."""

    size: str
    root: str


@dataclass(frozen=True)
class PacketContent:
    """One version of one claim file. Drawing it again gives the same bytes.

    ``made_on`` is the day it was frozen, as ISO text. ``neutral_lines`` say why a
    document is a copy or is not enclosed. ``checker`` is the program attached with the
    ``manifest``, frozen with it.
    """

    title: str
    version: str
    as_of: str
    made_on: str
    paper: Paper
    edition: Edition
    cover: CoverLetter
    statement: ClaimStatement
    schedule: Schedule
    receipts: tuple[ReceiptEntry, ...]
    findings: tuple[FindingEntry, ...]
    custody: tuple[CustodyEntry, ...]
    exhibits: tuple[Exhibit, ...]
    neutral_lines: tuple[str, ...]
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
    """Read what ``to_json`` wrote in this format; equal content comes back.

    Raise ``frozen.FrozenError``, one line, for anything else.
    """
    return frozen.from_json(PacketContent, text)
