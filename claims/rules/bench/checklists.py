"""What is inspected on a machine at each stage, as a table.

The usual points of the trade, common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass

RESULTS = {"right": "Right", "wrong": "Not right", "absent": "N/A"}
"""The results of one point. A point that was not inspected has no result."""


@dataclass(frozen=True)
class Look:
    """One point to inspect, and what to look for."""

    key: str
    label: str
    hint: str


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

LOOKS: Mapping[str, tuple[Look, ...]] = {"uncrating": UNCRATING}
"""The points of each stage that has such a list; setup has lists by kind of machine."""


def looks_at(stage: str) -> tuple[Look, ...]:
    """Return the points of this stage. Raise KeyError for one without a list."""
    return LOOKS[stage]
