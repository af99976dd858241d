"""The month that an address asks for."""

from dataclasses import dataclass

from django.http import HttpRequest

from inventory.rules.reckoning.months import EARLIEST, CalendarMonth, month_named


@dataclass(frozen=True)
class AskedMonth:
    """The month that a page shows; ``problem`` says why it is not the one asked for."""

    month: CalendarMonth
    problem: str = ""

    @property
    def status(self) -> int:
        """Return the status of the answer."""
        return 422 if self.problem else 200


def month_asked(request: HttpRequest, newest: CalendarMonth) -> AskedMonth:
    """Return the month of ``?month=``; the newest for none, or for one out of range."""
    key = request.GET.get("month", "")
    if not key:
        return AskedMonth(newest)
    month = month_named(key, newest=newest)
    if month is not None:
        return AskedMonth(month)
    return AskedMonth(
        newest,
        f"The address asks for a month that this page does not have. It shows {newest} "
        f"instead. Choose a month below, or write one from "
        f"{CalendarMonth.of(EARLIEST).key} to {newest.key}.",
    )
