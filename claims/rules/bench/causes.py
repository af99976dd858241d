"""What each cause means for what happens next.

The technician's opinion of the cause decides nothing about liability; it decides
what must wait and who must be asked.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Cause:
    """One cause: its key, what it means, and what it sets in motion."""

    key: str
    meaning: str
    holds_unit: bool = False
    stops_claim: bool = False


_TABLE = (
    Cause(
        "transit",
        "Done while the carrier had it. Keep everything as found: the carrier may "
        "inspect before anything is repaired.",
        holds_unit=True,
    ),
    Cause(
        "manufacture",
        "It left the maker like this. The supplier's warranty is asked.",
    ),
    Cause(
        "packing",
        "Packed, blocked or marked badly by the supplier. Both the supplier and the "
        "carrier are told in time; only one pays.",
    ),
    Cause(
        "our-handling",
        "Done here, after the truck left. It goes into no claim until the manager "
        "answers with a reason. It is never deleted.",
        stops_claim=True,
    ),
    Cause(
        "adjustment",
        "Nothing is broken; it is put right in the ordinary set-up.",
    ),
    Cause(
        "unknown",
        "The facts do not say. Write down what you see and let the manager decide.",
    ),
)

CAUSES: dict[str, Cause] = {cause.key: cause for cause in _TABLE}

HANDLING_ANSWERS = {
    "not-ours": "Not done here: it may be claimed",
    "ours": "Done here: it stays out of every claim",
}
"""The manager's two answers to "handling here"."""


def cause_of(key: str) -> Cause:
    """Return the cause with this key. Raises KeyError for an unknown one."""
    return CAUSES[key]


def needs_answer(*, cause: str, handling_answer: str) -> bool:
    """Say whether the manager still owes an answer to "handling here"."""
    return CAUSES[cause].stops_claim and not handling_answer
