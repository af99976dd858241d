"""The state of a deadline today, and the sentence shown with it."""

from dataclasses import dataclass
from datetime import date

from inventory.rules.reckoning.moments import day_words

SOON_DAYS = 7
"""How many days before the safe date a deadline counts as running out."""


@dataclass(frozen=True)
class Standing:
    """A state (calm, running, late or kept) and one sentence.

    ``days_left`` counts to the day that matters and is negative once it is past;
    None for a duty that is met.
    """

    state: str
    words: str
    days_left: int | None


def standing_of(
    *,
    today: date,
    due: date,
    safe: date,
    met_on: date | None,
    is_ours: bool,
    own: date | None = None,
) -> Standing:
    """Return the state of a duty on this day.

    ``own`` is the manager's own date: it counts only where it is the earlier one.
    Our duties are measured to the safe day, the carrier's to the due day.
    """
    if met_on is not None:
        return _kept(met_on, due, today)
    if not is_ours:
        return _carriers(today, due)
    day = min(safe, own) if own else safe
    left = (day - today).days
    if today > due:
        return Standing("late", f"{_days((today - due).days)} past the due day.", left)
    if left < 0:
        words = f"Safe day passed. Due {day_words(due, today)}. Do it today."
        return Standing("late", words, left)
    if left == 0:
        return Standing("running", "The safe day is today. Do it now.", 0)
    state = "running" if left <= SOON_DAYS else "calm"
    return Standing(state, f"{_days(left)} to the safe day.", left)


def _kept(met_on: date, due: date, today: date) -> Standing:
    met = day_words(met_on, today)
    if met_on > due:
        return Standing(
            "kept",
            f"Met on {met}, {_days((met_on - due).days)} after the due day.",
            None,
        )
    return Standing("kept", f"Met on {met}.", None)


def _carriers(today: date, due: date) -> Standing:
    left = (due - today).days
    if left < 0:
        words = f"The carrier is {_days(-left)} late. Write and ask for it."
        return Standing("late", words, left)
    if left == 0:
        return Standing("running", "Due from the carrier today.", 0)
    return Standing("calm", f"The carrier has {_days(left)} left.", left)


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
