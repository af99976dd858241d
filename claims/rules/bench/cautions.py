"""The usual cautions of opening crates and setting up machines.

Common practice, no source, and not our instructions: the maker's manual and the
shop's own rules take precedence.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from claims.rules.bench.setup_lines import SetupLine

DEFERS = (
    "The maker's manual, your shop's rules and local law take precedence. Where the "
    "manual differs, follow the maker."
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
        "Lift with a helper or a hoist, at the maker's lift points, within the lift's "
        "rated load, and with nobody under or next to the load.",
        _BOTH,
    ),
    Caution(
        "blades",
        "Blades",
        "Blades cut even when they are not turning. Engine off, key out, battery or "
        "plug disconnected, gloves on, before a hand goes under the deck.",
        _SET_UP,
    ),
    Caution(
        "tires",
        "Tires",
        "Set the pressure in the maker's manual. The figure on the sidewall is a "
        "maximum, also when you seat a bead. Use a clip-on chuck and stand in line "
        "with the tread, never at the sidewall.",
        _SET_UP,
    ),
    Caution(
        "batteries",
        "Batteries",
        "Acid burns and gas explodes. Never lay a tool across the terminals. Take the "
        "negative cable off first and put it on last. Never charge a frozen or "
        "cracked battery.",
        _BOTH,
    ),
    Caution(
        "lithium",
        "Lithium batteries",
        "Wet, dented, swollen, hissing or hot: do not charge, move or ship it. Get "
        "people away. Smoke: call the emergency number, then the manager and the "
        "maker. A damaged pack needs special packaging (49 CFR 173.185(f), from "
        "memory).",
        _BOTH,
    ),
    Caution(
        "jack",
        "On a jack or a lift",
        "Rated stands under it and wheels chocked before anyone works below. Nobody "
        "goes under a deck that only its own lift holds.",
        _SET_UP,
    ),
    Caution(
        "test-run",
        "Test run",
        "Run it outdoors: exhaust kills. ROPS up and belt on where it has them, "
        "people and loose parts away.",
        _SET_UP,
    ),
    Caution(
        "hydraulics",
        "Hydraulic oil",
        "Oil under pressure goes through skin. Never feel for a leak with a hand: use "
        "cardboard. A prick by oil is an emergency.",
        _SET_UP,
    ),
    Caution(
        "hot",
        "Hot muffler",
        "The muffler and the engine burn long after a run. Let them cool, or stay "
        "clear.",
        _SET_UP,
    ),
    Caution(
        "augers",
        "Augers and impellers",
        "Engine off, key out, and wait until everything stops. Clear a chute with a "
        "tool, never with a hand.",
        _SET_UP,
    ),
    Caution(
        "fuel",
        "Fuel and oil",
        "If you smell fuel, stop and find where it comes from. No flames, no "
        "sparks, and no engine indoors unless the exhaust goes outside.",
        _BOTH,
    ),
    Caution(
        "truck-leak",
        "A leak at the truck",
        "Stop unloading. Keep people and flames away. Call the carrier and the "
        "emergency number on the shipping paper.",
        frozenset({"tailgate"}),
    ),
)

BY_KEY = {row.key: row for row in CAUTIONS}
"""Every caution by its key, for the line it belongs to."""

BESIDE: Mapping[str, tuple[str, ...]] = {
    "auger": ("jack",),
    "battery": ("lithium",),
    "belts": ("jack",),
    "blade-stop": ("test-run",),
    "blades": ("jack",),
    "brakes": ("test-run",),
    "chute": ("augers",),
    "deck": ("jack", "lifting"),
    "deck-level": ("jack",),
    "drive": ("test-run",),
    "fuel-left": ("hot",),
    "hydraulics": ("hot",),
    "lug-nuts": ("lifting",),
    "purge": ("hydraulics",),
    "rops-bolts": ("lifting",),
    "test-run": ("hot", "fuel"),
}
"""Cautions of a line besides its own, by the line's key in any version of a list."""


def cautions_beside(line: SetupLine) -> tuple[Caution, ...]:
    """Return every caution of this line, its own first."""
    keys = (line.caution, *BESIDE.get(line.key, ()))
    return tuple(BY_KEY[key] for key in dict.fromkeys(keys) if key in BY_KEY)


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
