"""The usual cautions of opening crates and setting machines up.

Common practice, no source, and no instruction of ours: the maker's manual goes
first, and the shop's own rules.
"""

from dataclasses import dataclass

DEFERS = (
    "The maker's manual and your shop's rules go before these. "
    "If they differ, follow the maker."
)


@dataclass(frozen=True)
class Caution:
    """One caution: what it is about, and what to do."""

    key: str
    about: str
    sentence: str
    stages: frozenset[str]


_OPENING = frozenset({"uncrating"})
_SET_UP = frozenset({"set-up"})
_BOTH = _OPENING | _SET_UP

CAUTIONS = (
    Caution(
        "straps",
        "Straps",
        "Straps are under tension and whip when cut. Eyes and hands covered, others "
        "away, stand out of the line of the strap, cut the one farthest from you "
        "first, with proper shears.",
        _OPENING,
    ),
    Caution(
        "nails",
        "Nails and staples",
        "Pull or bend nails and staples as each board comes off, and stack boards "
        "with the points down.",
        _OPENING,
    ),
    Caution(
        "load",
        "What the crate holds up",
        "Boards and blocking may be all that keeps the machine upright. Look before "
        "the last one comes off.",
        _OPENING,
    ),
    Caution(
        "lifting",
        "Lifting",
        "Lift at the points the maker marks, within what the lift is rated for, and "
        "with nobody under or beside the load.",
        _BOTH,
    ),
    Caution(
        "blades",
        "Blades",
        "Blades cut while they stand still. Gloves on, and the machine kept from "
        "starting, before a hand goes under the deck.",
        _SET_UP,
    ),
    Caution(
        "batteries",
        "Batteries",
        "Acid burns and gas burns. A battery that leaks, swells or is warm is set "
        "apart outdoors and the manager is called; a damaged lithium pack is not "
        "charged and not shipped back without someone trained for it.",
        _BOTH,
    ),
    Caution(
        "fuel",
        "Fuel and oil",
        "A smell of fuel stops the work until its place is found. No flame, no "
        "sparks, and nothing started indoors without the exhaust led out.",
        _BOTH,
    ),
)


def cautions_for(stage: str) -> tuple[Caution, ...]:
    """Return the cautions of this stage, in the order in which they matter."""
    return tuple(row for row in CAUTIONS if stage in row.stages)


KEEP_BEFORE_OPENING = (
    (
        "Keep the crate, the blocking, the wrap and every label until the carrier has "
        "inspected or the claim is settled."
    ),
    "Photograph all sides closed, then each layer as it comes off.",
    "Photograph labels, the crate mark and any tilt or shock indicator first.",
    "Where you find damage, stop. Take the photos before you move anything.",
)
"""What is said before the first strap is cut."""
