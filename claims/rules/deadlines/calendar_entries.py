"""One open duty as a day of a private calendar."""

from dataclasses import dataclass
from datetime import date, datetime

from inventory.rules.reckoning.calendars import in_words


@dataclass(frozen=True)
class CalendarEntry:
    """A duty that is still open. It names no person and no amount.

    ``day`` is the safe day, or our own earlier one; ``changed_at`` the moment of the
    row, so that the same rows make the same calendar. A document somebody is to get has
    one day only; ``subject`` keeps its key apart from a deadline's.
    """

    key: int
    day: date
    what: str
    pro: str
    changed_at: datetime
    send_by: date | None = None
    due: date | None = None
    subject: str = "deadline"

    @property
    def title(self) -> str:
        """Return what stands in the calendar's day."""
        return f"{self.what}, PRO {self.pro}"

    @property
    def note(self) -> str:
        """Return the days that belong to it."""
        if self.send_by is None or self.due is None:
            return "The day to have it by. Not legal advice."
        return (
            f"Safe day. Send by {in_words(self.send_by)}. Last day by the rule: "
            f"{in_words(self.due)}. Not legal advice."
        )
