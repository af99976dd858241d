"""The content of a return's documents, frozen: text as printed, and a floor plan.

A bill of lading and a packing list go with the driver; a letter goes to a supplier
that short-paid a credit, with its proof. All three use the same parts.
"""

from dataclasses import dataclass
from typing import Literal

from inventory.rules.core.pictures import Picture
from inventory.rules.evidence.markup import Mark

Paper = Literal["letter", "a4"]

DEFERS = (
    "The carrier's loading and securing rules and the maker's sheet for its crates "
    "take precedence. Where they differ, follow them."
)

CAUTIONS = (
    (
        "Trailer",
        (
            "Chock the wheels and set the brakes before anyone enters, and inspect "
            "the floor first. Nobody stands in a trailer while a truck backs to it."
        ),
    ),
    (
        "Lifting",
        (
            "Lift stacks by the base only, with the forks all the way under, within "
            "the lift's rated load, and with nobody under or next to the load."
        ),
    ),
    (
        "Stacking",
        (
            "Stack no higher than the plan shows, heaviest at the bottom, each "
            "crate seated in the one below. Take down any stack that leans."
        ),
    ),
    (
        "Panels",
        (
            "Strap loose panels, lids and the hardware bag to their own base. Pull "
            "nails or bend them flat."
        ),
    ),
    (
        "Strapping",
        (
            "Cover eyes and hands, and keep others out of the line of the strap. "
            "The driver blocks the last row and decides when the load is secured."
        ),
    ),
)
"""The usual cautions of loading empties: common practice, not our instructions."""


@dataclass(frozen=True)
class Party:
    """A name and the lines of its address."""

    name: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Words:
    """A paragraph; ``lead`` comes before it in bold."""

    text: str
    lead: str = ""
    is_small: bool = False


@dataclass(frozen=True)
class Head:
    """The head of one column: its text, its share of the width, figures right."""

    words: str
    share: int
    is_right: bool = False
    is_strong: bool = False


@dataclass(frozen=True)
class Grid:
    """A table; with ``has_total`` its last row is a total."""

    heads: tuple[Head, ...]
    rows: tuple[tuple[str, ...], ...]
    has_total: bool = False


@dataclass(frozen=True)
class FloorBlock:
    """Stacks of one type on the floor, in millimetres from the nose."""

    name: str
    starts_mm: int
    deep_mm: int
    rows: int
    across: int


@dataclass(frozen=True)
class Floor:
    """A trailer's floor from above."""

    length_mm: int
    width_mm: int
    blocks: tuple[FloorBlock, ...]


@dataclass(frozen=True)
class Shot:
    """One photo with its caption, when it was received, and the marks over it."""

    picture: Picture
    caption: str
    marks: tuple[Mark, ...] = ()


Piece = Words | Grid | Floor | Shot


@dataclass(frozen=True)
class Section:
    """A heading with its content; without content the heading is omitted."""

    title: str
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class ReturnPaper:
    """One document: from, to, subject, and its sections.

    ``signatures`` are the lines to sign on: who signs each. ``proof`` are the
    sections that follow them. ``dated_on`` is the day it was made, in ISO form.
    """

    title: str
    number: str
    date: str
    sender: Party
    addressee: Party
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    signatures: tuple[str, ...] = ()
    proof: tuple[Section, ...] = ()
    is_letter: bool = False
    paper: Paper = "letter"
    dated_on: str = ""


def cautions_section() -> Section:
    """Return the cautions of loading as a section."""
    return Section(
        "Before you load",
        (
            Words(DEFERS, is_small=True),
            *(
                Words(words, lead=f"{about}.", is_small=True)
                for about, words in CAUTIONS
            ),
        ),
    )
