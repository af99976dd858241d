"""What the papers of a return say, frozen: text as it will be printed, and a floor.

A bill of lading and a packing list go with the driver; a letter goes to a supplier
that credited less, with its proof. All three are drawn from the same pieces.
"""

from dataclasses import dataclass
from typing import Literal

from inventory.rules.core.pictures import Picture

Paper = Literal["letter", "a4"]

DEFERS = (
    "The carrier's rules for loading and securing, and the maker's sheet for its "
    "crates, go before these. If they differ, follow them."
)

CAUTIONS = (
    (
        "Trailer",
        (
            "Wheels chocked and brakes set before anyone goes in, and the floor looked at "
            "first. Nobody stands in a trailer while a truck drives in it."
        ),
    ),
    (
        "Lifting",
        (
            "Lift stacks by the base only, with forks through their whole depth, within "
            "what the lift is rated for, and with nobody under or beside the load."
        ),
    ),
    (
        "Stacking",
        (
            "No more on each other than the plan says, the heaviest lowest, each one "
            "seated in the one below. A stack that leans comes down again."
        ),
    ),
    (
        "Panels",
        (
            "Loose panels, lids and the bag of hardware are strapped to their own base; "
            "nails are pulled or bent flat."
        ),
    ),
    (
        "Strapping",
        (
            "Eyes and hands covered, others out of the line of the strap. The driver "
            "blocks the last row and says when the load is secured."
        ),
    ),
)
"""The usual cautions of loading empties: common practice, no instruction of ours."""


@dataclass(frozen=True)
class Party:
    """A name and the lines of its address."""

    name: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Words:
    """A paragraph; ``lead`` stands before it in the strong face."""

    text: str
    lead: str = ""
    is_small: bool = False


@dataclass(frozen=True)
class Head:
    """The head of one column: its words, its share of the width, figures right."""

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
    """One photo with what it shows and when it was received."""

    picture: Picture
    caption: str


Piece = Words | Grid | Floor | Shot


@dataclass(frozen=True)
class Section:
    """A heading with what stands below it; without words there is no heading."""

    title: str
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class ReturnPaper:
    """One paper: who, to whom, about what, and its sections.

    ``signatures`` are the lines to sign on: who signs each. ``proof`` are the
    sections that follow them.
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


def cautions_section() -> Section:
    """Return the cautions of loading as a section."""
    return Section(
        "Before you load",
        (
            Words(DEFERS),
            *(
                Words(words, lead=f"{about}.", is_small=True)
                for about, words in CAUTIONS
            ),
        ),
    )
