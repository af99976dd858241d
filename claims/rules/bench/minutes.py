"""Minutes at the bench: setup is our own cost, only damage reaches a claim."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.rules.core.text import mid_sentence

DAMAGE = "Damage: "

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

    Once time is booked for the repair itself, that replaces the estimate; where all of
    it was taken back, the estimate counts again.
    """
    booked = list(rows)
    repaired = works_of(booked, finding).get("repair", 0)
    return minutes_of(booked, finding) + (0 if repaired else estimate)


def works_of(rows: Iterable[Booked], finding: int) -> dict[str, int]:
    """Return the minutes booked for this finding's damage, by the work."""
    found = dict.fromkeys(WORK, 0)
    for row in rows:
        if row.finding == finding and row.work in CLAIMABLE:
            found[row.work] += row.minutes
    return {work: minutes for work, minutes in found.items() if minutes}


def labor_words(rows: Iterable[Booked], finding: int, *, estimate: int) -> str:
    """Return what the labor of a finding is made of: inspection 30 min, repair 2 h."""
    works = works_of(rows, finding)
    parts = [
        f"{mid_sentence(WORK[work].removeprefix(DAMAGE))} {time_words(minutes)}"
        for work, minutes in works.items()
    ]
    if estimate and "repair" not in works:
        parts.append(f"repair {time_words(estimate)}, as estimated")
    return ", ".join(parts)


def time_words(minutes: int) -> str:
    """Return a time as people say it: 45 min, 2 h, 1 h 30 min; less than none too."""
    hours, rest = divmod(abs(minutes), 60)
    parts = [f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else ""]
    sign = "-" if minutes < 0 else ""
    return sign + " ".join(part for part in parts if part)


def setup_minutes(rows: Iterable[Booked]) -> int:
    """Return the minutes of setup: our own cost."""
    return sum(row.minutes for row in rows if row.work not in CLAIMABLE)
