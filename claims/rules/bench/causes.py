"""What each cause means for the next steps.

The technician's opinion of the cause decides nothing about liability; it decides
what must wait and who must be asked.
"""

from dataclasses import dataclass

from claims.rules.core.vocabulary import DAMAGE_KINDS

ADJUSTMENT = "adjustment"
"""The cause of what is no damage: it makes no notice and no claim."""

ADJUSTABLE = frozenset({"loose", "defect"})
"""Kinds of finding that can be an adjustment; all others are damage or a shortage."""


@dataclass(frozen=True)
class Cause:
    """One cause: its key, what it means, and what it leads to."""

    key: str
    meaning: str
    holds_unit: bool = False
    stops_claim: bool = False


_TABLE = (
    Cause(
        "transit",
        "Happened in transit. Keep everything as found: the carrier may inspect "
        "before anything is repaired.",
        holds_unit=True,
    ),
    Cause(
        "manufacture",
        "It left the maker like this. Recover from the supplier's warranty.",
    ),
    Cause(
        "packing",
        "Packed, blocked or marked badly by the supplier. Notify both the supplier "
        "and the carrier in time; only one pays.",
    ),
    Cause(
        "our-handling",
        "Happened here, after the truck left. Not in any claim until the manager "
        "answers with a reason. It is never deleted.",
        stops_claim=True,
    ),
    Cause(
        "adjustment",
        "Nothing is broken. It is adjusted at setup: no notice, no claim. If it turns "
        "out to be damage, change the cause; the first reading stays.",
    ),
    Cause(
        "unknown",
        "The facts do not show the cause. Write down what you see; the manager "
        "decides.",
    ),
)

CAUSES: dict[str, Cause] = {cause.key: cause for cause in _TABLE}

HANDLING_ANSWERS = {
    "not-ours": "Not our handling: it may be claimed",
    "ours": "Our handling: it stays out of every claim",
}
"""The manager's two answers to "our handling"."""


def cause_of(key: str) -> Cause:
    """Return the cause with this key. Raise KeyError for an unknown one."""
    return CAUSES[key]


def why_not_cause(*, cause: str, damage_kind: str) -> str:
    """Return why this kind of damage cannot have this cause, or ""."""
    if cause != ADJUSTMENT or damage_kind in ADJUSTABLE:
        return ""
    return (
        f'"{DAMAGE_KINDS[damage_kind].capitalize()}" is no adjustment, and an '
        "adjustment is never claimed. Nothing was saved. Choose another cause; choose "
        "Not known where the facts do not show it."
    )


def needs_answer(*, cause: str, handling_answer: str) -> bool:
    """Return whether the manager still owes an answer to "our handling"."""
    return CAUSES[cause].stops_claim and not handling_answer
