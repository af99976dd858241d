"""One open duty as a day of a private calendar."""

from dataclasses import dataclass
from datetime import date, datetime

from inventory.rules.reckoning.calendars import in_words


@dataclass(frozen=True)
class CalendarEntry:
    """A duty that is still open. It names no person and no amount.

    ``day`` is the safe day, or our own earlier one; ``changed_at`` the moment of the
    row, so that the same rows make the same calendar.
    """

    key: int
    day: date
    what: str
    pro: str
    send_by: date
    due: date
    changed_at: datetime

    @property
    def title(self) -> str:
        """Return what stands in the calendar's day."""
        return f"{self.what}, PRO {self.pro}"

    @property
    def note(self) -> str:
        """Return the days that belong to it."""
        return (
            f"Safe day. Send by {in_words(self.send_by)}. Last day by the rule: "
            f"{in_words(self.due)}. Not legal advice."
        )
