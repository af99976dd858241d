"""Parts that are never repaired because it is cheaper.

Common practice of the trade, no source: a part that keeps the operator alive is
repaired by the maker's written instruction or replaced, whatever it costs.
"""

import re
from dataclasses import dataclass

RULE = (
    "This part keeps someone safe. Price does not decide: it is replaced, or "
    "repaired only by the maker's written instruction."
)

SAFETY_BASES = {
    "replacement": "Replaced with a new part",
    "instruction": "Repaired by the maker's written instruction",
}
"""The two ways in which a safety part may be fixed."""


@dataclass(frozen=True)
class SafetyPart:
    """One kind of safety part and the names people use for it."""

    key: str
    label: str
    words: tuple[str, ...]


SAFETY_PARTS = (
    SafetyPart(
        "roll-bar",
        "ROPS and seat belt",
        ("roll bar", "roll-bar", "rollbar", "rollover", "rops", "seat belt"),
    ),
    SafetyPart("fuel-tank", "Fuel tank", ("fuel tank", "gas tank", "petrol tank")),
    SafetyPart("brake", "Brake", ("brake", "brakes", "parking brake")),
    SafetyPart(
        "steering",
        "Steering",
        ("steering", "lap bar", "lap bars", "tie rod", "spindle arm"),
    ),
    SafetyPart(
        "blade-spindle",
        "Blade spindle",
        ("blade spindle", "deck spindle", "spindle", "spindles"),
    ),
    SafetyPart(
        "battery-pack",
        "Battery pack",
        ("battery pack", "lithium battery", "traction battery"),
    ),
)


def safety_part_named(part: str) -> SafetyPart | None:
    """Return the safety part this name means, or None.

    Matches whole words in any case: "Left brake lever" is a brake, "brakeman" is
    not.
    """
    text = " ".join(part.lower().split())
    for row in SAFETY_PARTS:
        if any(re.search(rf"\b{re.escape(word)}\b", text) for word in row.words):
            return row
    return None
