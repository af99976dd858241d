"""What is inspected on a machine at each stage, as a table.

The usual points of the trade, common practice, no source. They do not replace the
maker's setup list, and a reading is only recorded, never judged.
"""

from collections.abc import Mapping
from dataclasses import dataclass

RESULTS = {"right": "Right", "wrong": "Not right", "absent": "N/A"}
"""The results of one point. A point that was not inspected has no result."""


@dataclass(frozen=True)
class Reading:
    """A reading that may be recorded with a point."""

    label: str
    unit: str


@dataclass(frozen=True)
class Look:
    """One point to inspect, and what to look for."""

    key: str
    label: str
    hint: str
    reading: Reading | None = None


UNCRATING = (
    Look("blocking", "Blocking and straps inside", "In place, or loose and shifted?"),
    Look("wrap", "Wrap and covers", "Torn, wet or rubbed through?"),
    Look("labels", "Model and serial", "Does the plate match the crate and the bill?"),
    Look("loose-parts", "Boxes and loose parts", "All there by the packing list?"),
    Look("panels", "Hood, fenders, paint", "Dents, cracks, scratches, rub marks?"),
    Look("frame", "Frame and mounts", "Bent, cracked or out of line?"),
    Look("leaks", "Fluids", "Oil, fuel, coolant or acid on the floor or the crate?"),
    Look("wheels", "Wheels and casters", "Bent rims, flat or cut tires?"),
    Look("controls-outside", "Levers and ROPS", "Bent, broken, out of their seats?"),
)

SET_UP = (
    Look(
        "tires",
        "Tires",
        "Cuts, beads seated, pressure to the maker's figure?",
        Reading("Pressure", "psi"),
    ),
    Look(
        "battery",
        "Battery",
        "Case sound, terminals tight, charged?",
        Reading("Voltage", "V"),
    ),
    Look("deck", "Deck", "Straight, level, height moves freely?"),
    Look("oil", "Engine oil", "Level to the maker's figure, no leaks?"),
    Look("hydraulics", "Hydraulic oil", "Level, hoses and fittings dry?"),
    Look("coolant", "Coolant", "Level, hoses dry?"),
    Look("fuel", "Fuel tank and lines", "Sound, tight, no smell?"),
    Look("blades", "Blades and spindles", "Straight, tight, turn without wobble?"),
    Look("belts", "Belts and guards", "On their pulleys, guards fitted?"),
    Look("rops", "ROPS and seat belt", "Straight, pinned, belt latches?"),
    Look("controls", "Controls and steering", "Full travel, return to neutral?"),
    Look("brakes", "Parking brake", "Holds, releases?"),
    Look(
        "interlocks",
        "Safety switches (seat, blade, start)",
        "Does each one stop what it should?",
    ),
    Look("lights", "Lights and gauges", "Working, no warning left on?"),
    Look(
        "hours",
        "Hour meter",
        "Does it read what a new machine reads?",
        Reading("Hours", "h"),
    ),
)

LOOKS: Mapping[str, tuple[Look, ...]] = {"uncrating": UNCRATING, "set-up": SET_UP}
"""The points of each stage at the bench."""


def looks_at(stage: str) -> tuple[Look, ...]:
    """Return the points of this stage. Raise KeyError for one without a list."""
    return LOOKS[stage]


def label_of(stage: str, key: str) -> str:
    """Return the name of this point; the key itself once it is off the list."""
    for look in LOOKS.get(stage, ()):
        if look.key == key:
            return look.label
    return key
