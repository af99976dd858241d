"""Minutes at the bench: setup is our own cost, only damage reaches a claim."""

from collections.abc import Iterable
from dataclasses import dataclass

WORK = {
    "setup": "Setup",
    "inspection": "Damage: inspection",
    "tear-down": "Damage: tear-down",
    "repair": "Damage: repair",
    "re-test": "Damage: re-test",
}
"""What minutes are booked for."""

CLAIMABLE = frozenset(WORK) - {"setup"}
"""Work that the damage caused."""

LONGEST = 24 * 60


@dataclass(frozen=True)
class Booked:
    """Some minutes of one kind of work on one machine; ``finding`` None for setup."""

    work: str
    minutes: int
    finding: int | None = None


def why_not_booked(booked: Booked, already: int = 0) -> str:
    """Return why these minutes cannot be booked, or "".

    Minutes below zero take back a mistake, as far as ``already`` booked for the same.
    """
    if booked.work not in WORK:
        return "Choose what the time was for. Nothing was saved."
    if booked.minutes < 0 <= already + booked.minutes:
        return ""
    if not 0 < booked.minutes <= LONGEST:
        return "Enter from 1 minute to 24 hours. Nothing was saved."
    if booked.work in CLAIMABLE and booked.finding is None:
        return (
            "Time for damage belongs to a finding. Nothing was saved. Choose the "
            "finding, or book it as setup."
        )
    if booked.work == "setup" and booked.finding is not None:
        return "Setup belongs to no finding. Nothing was saved."
    return ""


def minutes_of(rows: Iterable[Booked], finding: int) -> int:
    """Return the minutes that this finding may claim: those booked for its damage."""
    return sum(
        row.minutes for row in rows if row.finding == finding and row.work in CLAIMABLE
    )


def claimed_minutes(rows: Iterable[Booked], finding: int, *, estimate: int) -> int:
    """Return the minutes that a finding claims, with ``estimate`` for its repair.

    Once time is booked for the repair itself, that replaces the estimate.
    """
    booked = list(rows)
    is_repaired = any(row.work == "repair" and row.finding == finding for row in booked)
    return minutes_of(booked, finding) + (0 if is_repaired else estimate)


def setup_minutes(rows: Iterable[Booked]) -> int:
    """Return the minutes of setup: our own cost."""
    return sum(row.minutes for row in rows if row.work not in CLAIMABLE)
