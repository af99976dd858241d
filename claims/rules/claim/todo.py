"""What is to be done by us on a desk: each act with its day, its money and its person.

Claim money and the value in unopened crates are never added. Money that several acts
depend on is counted once, on the first day of them.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

from inventory.rules.reckoning.calendars import MONTHS, WEEKDAYS
from inventory.rules.reckoning.money import largest_first

THIS_WEEK = timedelta(days=7)
DAYS_AHEAD = 14

DUTY_ACTS = {
    "apparent-notice": "Send the notice of visible damage",
    "concealed-notice": "Send the notice of concealed damage",
    "delay-notice": "Send the notice of delay",
    "suit": "Decide on a suit: ask a lawyer",
    "proof-of-claim": "File the proof of claim with the court",
    "supplier-damage": "Send the damage notice to the supplier",
    "supplier-shortage": "Send the shortage notice to the supplier",
    "supplier-wrong": "Send the wrong goods notice to the supplier",
    "supplier-defect": "Send the defect notice to the supplier",
}
"""What we do to meet each duty of ours."""


@dataclass(frozen=True)
class Who:
    """Whose act it is: a person, or the role where nobody is named."""

    words: str
    is_mine: bool


@dataclass(frozen=True)
class Stake:
    """Money that depends on an act, in cents. The same ``key`` is the same money."""

    key: str
    cents: int
    is_unopened: bool = False


@dataclass(frozen=True)
class Todo:
    """One act of ours. ``page`` and ``keys`` name the page on which it is done.

    ``ref`` is the claim's number, or the PRO where there is no claim. ``day`` is the
    safe day, or our own earlier one.
    """

    label: str
    why: str
    day: date
    today: date
    ref: str
    who: Who
    page: str
    keys: tuple[int | str, ...]
    query: str = ""
    bill: int = 0
    claim: int | None = None
    state: str = ""
    carrier: int = 0
    location: int = 0
    currency: str = ""
    home_currency: str = ""
    stakes: tuple[Stake, ...] = ()

    @property
    def days_left(self) -> int:
        """Return the days to its day; negative once the day is past."""
        return (self.day - self.today).days

    @property
    def is_due(self) -> bool:
        """Return whether it is late or due within a week."""
        return self.day <= self.today + THIS_WEEK

    @property
    def tone(self) -> str:
        """Return late, running (today) or calm."""
        if self.days_left < 0:
            return "late"
        return "calm" if self.days_left else "running"

    @property
    def when(self) -> str:
        """Return how many days are left, or how late it is."""
        if self.days_left == 0:
            return "Today"
        count = abs(self.days_left)
        days = "1 day" if count == 1 else f"{count} days"
        return f"{days} left" if self.days_left > 0 else f"{days} late"

    @property
    def claim_cents(self) -> int:
        """Return the claim money that depends on it, 0 where none is priced."""
        return sum(one.cents for one in self.stakes if not one.is_unopened)

    @property
    def unopened_cents(self) -> int:
        """Return the value in the crates that it is to open."""
        return sum(one.cents for one in self.stakes if one.is_unopened)


def in_order(todos: Iterable[Todo]) -> list[Todo]:
    """Return the acts by day, late ones first, of one day the larger money first.

    The home currency comes before others: amounts of two are never compared.
    """
    return sorted(
        todos,
        key=lambda one: (
            one.day,
            largest_first(one.claim_cents, one.currency, one.home_currency),
            -one.unopened_cents,
            one.ref,
            one.label,
        ),
    )


@dataclass
class Sums:
    """Money of one currency in cents, claims and unopened crates apart."""

    currency: str
    claim_cents: int = 0
    unopened_cents: int = 0


def sums_of(todos: Iterable[Todo]) -> list[Sums]:
    """Return the money of these acts by currency, each stake once."""
    return _summed(_once(in_order(todos)))


@dataclass(frozen=True)
class DayAhead:
    """One line of the upright ruler; the first is for what is late."""

    day: date | None
    tone: str
    count: int = 0
    sums: list[Sums] = field(default_factory=list)

    @property
    def boxes(self) -> range:
        """Return the left edge of each box to draw, in px: one an act, up to five."""
        return range(1, 11 * min(self.count, 5), 11)

    @property
    def width(self) -> int:
        """Return how wide the drawing is, in px."""
        return 11 * len(self.boxes) + 1

    @property
    def weekday(self) -> str:
        """Return its name, or that it is late."""
        return WEEKDAYS[self.day.weekday()] if self.day else "Late"

    @property
    def date_words(self) -> str:
        """Return the day of the month; the month too today, and on its first."""
        if self.day is None:
            return ""
        names_month = self.tone == "running" or self.day.day == 1
        month = f" {MONTHS[self.day.month - 1]}" if names_month else ""
        return f"{self.day.day}{month}"

    @property
    def is_weekend(self) -> bool:
        """Return whether it is a Saturday or a Sunday."""
        return self.day is not None and self.day.weekday() > 4


def days_ahead(todos: Iterable[Todo], today: date) -> list[DayAhead]:
    """Return what is late, then each of the next fourteen days from today on."""
    acts = in_order(todos)
    counts: dict[date | None, int] = defaultdict(int)
    for one in acts:
        counts[_line_of(one)] += 1
    money: dict[date | None, list[tuple[Todo, Stake]]] = defaultdict(list)
    for one, stake in _once(acts):
        money[_line_of(one)].append((one, stake))
    days = [today + timedelta(days=ahead) for ahead in range(DAYS_AHEAD)]
    return [
        DayAhead(day, _tone_of(day, today), counts[day], _summed(money[day]))
        for day in (None, *days)
    ]


def _line_of(one: Todo) -> date | None:
    return None if one.days_left < 0 else one.day


def _tone_of(day: date | None, today: date) -> str:
    if day is None:
        return "late"
    return "running" if day == today else "calm"


def _once(acts: Iterable[Todo]) -> Iterator[tuple[Todo, Stake]]:
    seen: set[str] = set()
    for one in acts:
        for stake in one.stakes:
            if stake.key not in seen:
                seen.add(stake.key)
                yield one, stake


def _summed(found: Iterable[tuple[Todo, Stake]]) -> list[Sums]:
    sums: dict[str, Sums] = {}
    for one, stake in found:
        row = sums.setdefault(one.currency, Sums(one.currency))
        if stake.is_unopened:
            row.unopened_cents += stake.cents
        else:
            row.claim_cents += stake.cents
    return [sums[key] for key in sorted(sums)]
