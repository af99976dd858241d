"""The ruler of days: positions of start, today, the safe date and the due date.

Pure geometry. Positions are percent of the ruler's width, so that the picture
fits any screen or page; the labels are written elsewhere.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from inventory.rules.reckoning.calendars import WEEKDAYS

WHOLE = Decimal(100)
_CENT = Decimal("0.01")
# A label near an end is written inward, or it would leave the picture.
_NEAR_END = Decimal(22)


@dataclass(frozen=True)
class Spot:
    """One place on the ruler, in percent from its left end."""

    percent: Decimal

    @property
    def x(self) -> str:
        """Return the place as an SVG length, such as "37.50%"."""
        return f"{self.percent}%"

    @property
    def anchor(self) -> str:
        """Return how text at this place is anchored: start, middle or end."""
        if self.percent < _NEAR_END:
            return "start"
        return "end" if self.percent > WHOLE - _NEAR_END else "middle"


@dataclass(frozen=True)
class Tick:
    """One cut on the ruler; every fifth, or each month's, is longer."""

    spot: Spot
    major: bool
    spent: bool


@dataclass(frozen=True)
class Ruler:
    """The whole picture. `today` is None where the deadline is already met."""

    starts_on: date
    ends_on: date
    start: Spot
    due: Spot
    today: Spot | None
    safe: Spot | None
    spent: str
    over: str
    ticks: tuple[Tick, ...]

    @property
    def is_late(self) -> bool:
        """Return whether the ruler runs on past the due date."""
        return self.over != "0.00%"


def lay_ruler(
    *,
    starts_on: date,
    due: date,
    today: date | None,
    safe: date | None = None,
) -> Ruler | None:
    """Lay out the days from start to due, or to today when that is later.

    Return None where due is on or before the start: there is no length to draw.
    A day outside the ruler is placed at its nearer end.
    """
    if due <= starts_on:
        return None
    ends_on = max(due, today) if today is not None else due
    reached = today if today is not None else ends_on

    def at(day: date) -> Spot:
        inside = min(max(day, starts_on), ends_on)
        return Spot(_share((inside - starts_on).days, (ends_on - starts_on).days))

    return Ruler(
        starts_on=starts_on,
        ends_on=ends_on,
        start=Spot(Decimal("0.00")),
        due=at(due),
        today=None if today is None else at(today),
        safe=None if safe is None else at(safe),
        spent=at(min(reached, due)).x,
        over=Spot(at(ends_on).percent - at(due).percent).x,
        ticks=_ticks((ends_on - starts_on).days, (reached - starts_on).days),
    )


def _share(part: int, whole: int) -> Decimal:
    return (WHOLE * part / whole).quantize(_CENT)


def _ticks(days: int, reached: int) -> tuple[Tick, ...]:
    step, long_every = _scale(days)
    return tuple(
        Tick(
            spot=Spot(_share(day, days)),
            major=day % long_every == 0,
            spent=day < reached,
        )
        for day in range(step, days, step)
    )


def _scale(days: int) -> tuple[int, int]:
    """Return days per tick and days per long tick: never more than about forty."""
    if days <= 40:
        return 1, 5
    if days <= 280:
        return 7, 28
    step = max(30, -(-days // 40))
    return step, step * 3


MOST_CELLS = 31


@dataclass(frozen=True)
class Cell:
    """One day of a ruler that has a cell a day."""

    day: date
    x: str
    middle: str
    is_spent: bool
    is_due: bool

    @property
    def letter(self) -> str:
        """Return the first letter of its weekday."""
        return WEEKDAYS[self.day.weekday()][0]

    @property
    def is_weekend(self) -> bool:
        """Return whether it is a Saturday or a Sunday."""
        return self.day.weekday() > 4


@dataclass(frozen=True)
class Cells:
    """A ruler of days, each in its own cell. Places are percent of its width."""

    cells: tuple[Cell, ...]
    width: str
    today: str | None
    safe: str | None


def lay_cells(
    *, starts_on: date, due: date, today: date, safe: date | None = None
) -> Cells | None:
    """Lay out one cell a day, from the start to the due day or today.

    Return None where the days are more than fit, or none.
    """
    count = (max(due, today) - starts_on).days + 1
    if not 1 < count <= MOST_CELLS or due < starts_on:
        return None

    def middle(day: date | None) -> str | None:
        if day is None or not starts_on <= day <= starts_on + timedelta(count - 1):
            return None
        return f"{_share(2 * (day - starts_on).days + 1, 2 * count)}%"

    days = [starts_on + timedelta(at) for at in range(count)]
    return Cells(
        cells=tuple(
            Cell(
                day=day,
                x=f"{_share(at, count)}%",
                middle=middle(day) or "",
                is_spent=day < today,
                is_due=day == due,
            )
            for at, day in enumerate(days)
        ),
        width=f"{_share(1, count)}%",
        today=middle(today),
        safe=middle(safe),
    )
