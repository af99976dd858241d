"""What-if questions about a period: from this day, count that far."""

from typing import Any

from inventory.rules.reckon.reading import (
    FIRST_YEAR,
    LAST_YEAR,
    Reader,
    ReckonError,
)
from inventory.rules.reckoning.calendars import CalendarError, calendar_named
from inventory.rules.reckoning.periods import (
    DIRECTIONS,
    EXCEPTED,
    MOST,
    ROLLS,
    UNITS,
    Period,
    PeriodError,
    add_period,
)

_REQUIRED = ("from", "count", "unit")
_KEYS = (*_REQUIRED, "direction", "roll", "except", "calendar", "holidays")


def reckon_period(obj: dict[str, Any]) -> dict[str, Any]:
    """Return ``due`` and ``counted`` for a period; raise ReckonError.

    Without a calendar only weekends and the ``holidays`` listed are left out.
    """
    reader = Reader(obj, keys=_KEYS, required=_REQUIRED)
    start = reader.need(reader.day, "from")
    period = Period(
        count=_count(reader),
        unit=reader.need(reader.one_of(UNITS), "unit"),
        direction=reader.one_of(DIRECTIONS)("direction") or "forward",
        roll=reader.one_of(ROLLS)("roll") or "none",
        excepted=reader.one_of(EXCEPTED)("except") or "none",
    )
    try:
        calendar = calendar_named(
            reader.text("calendar") or "", reader.days("holidays")
        )
        counted = add_period(start, period, calendar)
    except (CalendarError, PeriodError) as error:
        raise ReckonError(str(error)) from None
    if not FIRST_YEAR <= counted.due.year <= LAST_YEAR:
        raise ReckonError(
            f"The period ends in {counted.due.year}; "
            f"dates go from {FIRST_YEAR} to {LAST_YEAR}."
        )
    return {"due": counted.due.isoformat(), "counted": list(counted.steps)}


def _count(reader: Reader) -> int:
    count = reader.whole("count", most=MOST)
    return 0 if count is None else count
