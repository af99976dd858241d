"""Where on a machine something is: the places of its plan, seen from above.

A plan is drawn in rows, the front on top. The keys are stored and stay; several kinds
of machine share one. Left and right are those of the operator.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.rules.core.text import mid_sentence


@dataclass(frozen=True)
class Place:
    """One place: its label, its two short lines on the plan, and what is drawn there."""

    label: str
    name: str
    note: str = ""
    shape: str = ""


PLACES = {
    "front": Place("Front", "Front"),
    "rear": Place("Rear", "Rear"),
    "left": Place("Left side", "Left", "side"),
    "right": Place("Right side", "Right", "side"),
    "top": Place("Top", "Top"),
    "under": Place("Underneath", "Below"),
    "left-front-wheel": Place("Left front wheel", "Wheel", "left front", "wheel"),
    "right-front-wheel": Place("Right front wheel", "Wheel", "right front", "wheel"),
    "left-rear-wheel": Place("Left rear wheel", "Wheel", "left rear", "wheel"),
    "right-rear-wheel": Place("Right rear wheel", "Wheel", "right rear", "wheel"),
    "left-wheel": Place("Left wheel", "Wheel", "left", "wheel"),
    "right-wheel": Place("Right wheel", "Wheel", "right", "wheel"),
    "engine": Place("Engine", "Engine", shape="engine"),
    "hood": Place("Hood", "Hood", "engine", "engine"),
    "seat": Place("Seat and controls", "Seat", "controls", "seat"),
    "controls": Place("Controls", "Controls"),
    "rops": Place("ROPS", "ROPS", "and belt"),
    "deck": Place("Middle of the deck", "Deck", "middle", "blade"),
    "deck-left": Place("Left of the deck", "Deck", "left", "blade"),
    "deck-right": Place("Right of the deck", "Deck", "right", "blade"),
    "auger": Place("Auger housing", "Auger", "housing", "auger"),
    "chute": Place("Chute", "Chute"),
    "handles": Place("Handles and levers", "Handles", "levers"),
    "bucket": Place("Bucket", "Bucket"),
    "arms": Place("Loader arms", "Arms"),
    "bed": Place("Cargo bed", "Bed", "cargo"),
}
"""Every place, by its key."""

Plan = tuple[tuple[str, ...], ...]

PLANS: dict[str, Plan] = {
    "general": (
        ("left-front-wheel", "front", "right-front-wheel"),
        ("left", "top", "right"),
        ("left-rear-wheel", "rear", "right-rear-wheel"),
        ("engine", "controls", "under"),
    ),
    "ride-on-mower": (
        ("left-front-wheel", "front", "right-front-wheel"),
        ("deck-left", "deck", "deck-right"),
        ("left", "seat", "right"),
        ("left-rear-wheel", "engine", "right-rear-wheel"),
        ("rops", "rear", "under"),
    ),
    "snow-thrower": (
        ("auger",),
        ("left", "chute", "right"),
        ("left-wheel", "engine", "right-wheel"),
        ("handles", "under"),
    ),
    "tractor": (
        ("left-front-wheel", "front", "right-front-wheel"),
        ("left", "hood", "right"),
        ("left-rear-wheel", "seat", "right-rear-wheel"),
        ("rops", "rear", "under"),
    ),
    "loader": (
        ("bucket",),
        ("left-front-wheel", "arms", "right-front-wheel"),
        ("left", "seat", "right"),
        ("left-rear-wheel", "engine", "right-rear-wheel"),
        ("rops", "rear", "under"),
    ),
    "utility-vehicle": (
        ("left-front-wheel", "front", "right-front-wheel"),
        ("left", "seat", "right"),
        ("rops", "bed", "under"),
        ("left-rear-wheel", "rear", "right-rear-wheel"),
    ),
}
"""The plan of each kind of machine; another kind has the general one."""


def plan_of(kind: str) -> Plan:
    """Return the plan of this kind of machine."""
    return PLANS.get(kind, PLANS["general"])


def in_order(found: Iterable[str]) -> list[str]:
    """Return the known ones of these keys, in the order of the list, each once."""
    asked = set(found)
    return [key for key in PLACES if key in asked]


def place_words(found: Iterable[str]) -> str:
    """Return these places in words: left front wheel, engine."""
    return ", ".join(mid_sentence(PLACES[key].label) for key in in_order(found))


def rows_of(kind: str, marked: Iterable[str] = ()) -> Plan:
    """Return the plan of a kind, with a last row for marked places of another plan."""
    plan = plan_of(kind)
    drawn = {key for row in plan for key in row}
    others = tuple(key for key in in_order(marked) if key not in drawn)
    return (*plan, others) if others else plan
