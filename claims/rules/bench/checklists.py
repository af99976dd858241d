"""What is looked at on a machine at each stage, as a table.

The usual looks of the trade, common practice, no source. They do not replace the
maker's set-up list, and a reading is what was read: it judges nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass

RESULTS = {"right": "Right", "wrong": "Not right", "absent": "Not on this one"}
"""What a look can come to. A look that was not taken has no result."""


@dataclass(frozen=True)
class Reading:
    """A measure that may be written down beside a look."""

    label: str
    unit: str


@dataclass(frozen=True)
class Look:
    """One thing to look at, and what to look for."""

    key: str
    label: str
    hint: str
    reading: Reading | None = None


UNCRATING = (
    Look("blocking", "Blocking and straps inside", "In place, or loose and shifted?"),
    Look("wrap", "Wrap and covers", "Torn, wet or rubbed through?"),
    Look("labels", "Model and serial", "The plate agrees with the crate and the bill?"),
    Look("loose-parts", "Boxes and loose parts", "All there against the packing list?"),
    Look("panels", "Hood, fenders, paint", "Dents, cracks, scratches, rub marks?"),
    Look("frame", "Frame and mounts", "Bent, cracked or out of line?"),
    Look("leaks", "Fluids", "Oil, fuel, coolant or acid on the floor or the crate?"),
    Look("wheels", "Wheels and casters", "Bent rims, flat or cut tires?"),
    Look(
        "controls-outside", "Levers and roll bar", "Bent, broken, out of their seats?"
    ),
)

SET_UP = (
    Look(
        "tires",
        "Tires",
        "Cuts, beads seated, pressure as the maker says?",
        Reading("Pressure", "psi"),
    ),
    Look(
        "battery",
        "Battery",
        "Case whole, terminals tight, charged?",
        Reading("Voltage", "V"),
    ),
    Look("deck", "Deck", "Straight, level, height moves freely?"),
    Look("oil", "Engine oil", "Level as the maker says, no leaks?"),
    Look("hydraulics", "Hydraulic oil", "Level, hoses and fittings dry?"),
    Look("coolant", "Coolant", "Level, hoses dry?"),
    Look("fuel", "Fuel tank and lines", "Whole, tight, no smell?"),
    Look("blades", "Blades and spindles", "Straight, tight, turn without wobble?"),
    Look("belts", "Belts and guards", "On their pulleys, guards fitted?"),
    Look("rops", "Roll bar (ROPS) and seat belt", "Straight, pinned, belt latches?"),
    Look("controls", "Controls and steering", "Full travel, return to neutral?"),
    Look("brakes", "Parking brake", "Holds, releases?"),
    Look(
        "interlocks", "Seat, blade and start switches", "Each one stops what it should?"
    ),
    Look("lights", "Lights and gauges", "Work, no warning left on?"),
    Look(
        "hours",
        "Hour meter",
        "Reads what a new machine reads?",
        Reading("Hours", "h"),
    ),
)

LOOKS: Mapping[str, tuple[Look, ...]] = {"uncrating": UNCRATING, "set-up": SET_UP}
"""The looks of each stage at the bench."""


def looks_at(stage: str) -> tuple[Look, ...]:
    """Return the looks of this stage. Raises KeyError for one without a list."""
    return LOOKS[stage]


def label_of(stage: str, key: str) -> str:
    """Return what this look is called; the key itself once it left the list."""
    for look in LOOKS.get(stage, ()):
        if look.key == key:
            return look.label
    return key
