"""The usual cautions of opening crates and setting up machines.

Common practice, no source, and not our instructions: the maker's manual and the
shop's own rules take precedence.
"""

from dataclasses import dataclass

DEFERS = (
    "The maker's manual and your shop's rules take precedence. Where they differ, "
    "follow the maker."
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
        "Straps are under tension and whip when cut. Wear eye protection and "
        "gloves, keep others away, stand out of line with the strap, cut the one "
        "farthest from you first, and use strap cutters.",
        _OPENING,
    ),
    Caution(
        "nails",
        "Nails and staples",
        "Pull nails and staples or bend them flat as each board comes off. Stack "
        "boards points down.",
        _OPENING,
    ),
    Caution(
        "load",
        "What the crate holds up",
        "Boards and blocking may be all that holds the machine upright. Check "
        "before you take off the last one.",
        _OPENING,
    ),
    Caution(
        "lifting",
        "Lifting",
        "Lift at the maker's lift points, within the lift's rated load, and with "
        "nobody under or next to the load.",
        _BOTH,
    ),
    Caution(
        "blades",
        "Blades",
        "Blades cut even when they are not turning. Wear gloves and make sure the "
        "machine cannot start before you reach under the deck.",
        _SET_UP,
    ),
    Caution(
        "batteries",
        "Batteries",
        "Acid burns and gas explodes. Leaking, swollen or warm: set the battery "
        "apart outdoors and call the manager. Do not charge a damaged lithium pack, "
        "and do not ship it without a trained person.",
        _BOTH,
    ),
    Caution(
        "fuel",
        "Fuel and oil",
        "If you smell fuel, stop and find where it comes from. No flames, no "
        "sparks, and no engine indoors unless the exhaust goes outside.",
        _BOTH,
    ),
)


def cautions_for(stage: str) -> tuple[Caution, ...]:
    """Return the cautions of this stage, in the order in which they matter."""
    return tuple(row for row in CAUTIONS if stage in row.stages)


KEEP_BEFORE_OPENING = (
    (
        "Keep the crate, the blocking, the wrap and every label until the carrier "
        "has inspected or the claim is settled."
    ),
    "Photograph all sides of the closed crate, then each layer as it comes off.",
    "Photograph labels, the crate mark and any tilt or shock indicator first.",
    "If you find damage, stop. Take the photos before you move anything.",
)
"""Reminders before the first strap is cut."""
