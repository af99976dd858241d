"""When a machine may leave, and what is checked once more at the customer's delivery.

How long a machine may stand before it is checked again is common practice, no source;
the maker's own delivery check takes precedence.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from claims.rules.bench.sign_off import SIGN_OFFS, may_leave
from inventory.rules.core.text import mid_sentence

LEAVES = {
    "sold": "Sold, to the customer",
    "transferred": "Transferred to another location",
    "returned": "Returned to the supplier",
}
"""How a machine leaves."""

BACK = "back"

MOVES = {**LEAVES, BACK: "Back here"}
"""Everything that the record of a machine's whereabouts may say."""

STOOD_DAYS = 30

RECHECKS = {
    "tires": "Tire pressure",
    "battery": "Battery",
    "oil": "Oil level",
    "leaks": "No leak underneath",
    "switches": "Safety switches",
}
"""What is checked again at the customer's delivery of a machine that stood."""

TOO_EARLY = (
    "That day is before its release. Nothing was saved. Enter the day on which it left."
)

CHECKED = {"right": "Right", "wrong": "Not right"}


@dataclass(frozen=True)
class LeavingFacts:
    """The facts of one machine that is to leave.

    ``release`` is a key of SIGN_OFFS or ""; ``released_on`` the day of the last release,
    None for one from before sign-off existed. ``hold_reason`` is "" without a hold.
    """

    way: str
    left_on: dt.date
    release: str
    released_on: dt.date | None = None
    hold_reason: str = ""
    checks: Mapping[str, str] = field(default_factory=dict)


def days_stood(released_on: dt.date | None, left_on: dt.date) -> int | None:
    """Return for how many days it stood since its release; None where not known."""
    return None if released_on is None else (left_on - released_on).days


def must_recheck(way: str, released_on: dt.date | None, left_on: dt.date) -> bool:
    """Return whether it is checked again before it goes to the customer.

    A machine released before sign-off existed is: nobody knows how long it stood.
    """
    stood = days_stood(released_on, left_on)
    return way == "sold" and (stood is None or stood >= STOOD_DAYS)


def why_not_leave(facts: LeavingFacts) -> tuple[str, ...]:
    """Return every reason against this machine's leaving."""
    if facts.hold_reason:
        stays = "It stays here until the hold is released. Nothing was saved."
        return (f"The machine is on hold. {facts.hold_reason} {stays}",)
    if refusal := may_leave(facts.release):
        return (refusal,)
    if facts.released_on is not None and facts.left_on < facts.released_on:
        return (TOO_EARLY,)
    if not must_recheck(facts.way, facts.released_on, facts.left_on):
        return ()
    return _open_checks(facts.checks)


def _open_checks(checks: Mapping[str, str]) -> tuple[str, ...]:
    left = [label for key, label in RECHECKS.items() if checks.get(key) not in CHECKED]
    wrong = [label for key, label in RECHECKS.items() if checks.get(key) == "wrong"]
    found = []
    if left:
        names = mid_sentence(", ".join(left))
        found.append(f"It stood, so check it again first: {names}. Nothing was saved.")
    if wrong:
        names = mid_sentence(", ".join(wrong))
        found.append(f"Not right: {names}. Nothing was saved. Set it right first.")
    return tuple(found)


def release_words(release: str) -> str:
    """Return by what it is released, in words; "" where it is not."""
    return SIGN_OFFS.get(release, "")
