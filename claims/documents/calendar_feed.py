"""Open duties as a calendar (RFC 5545), the same bytes from the same duties."""

from collections.abc import Sequence
from datetime import UTC, timedelta

from claims.rules.deadlines.calendar_entries import CalendarEntry

ICS = "text/calendar; charset=utf-8"


def calendar_feed(entries: Sequence[CalendarEntry], *, name: str, host: str) -> bytes:
    """Return the calendar's bytes: all-day entries with stable identifiers.

    ``host`` completes the identifiers (RFC 7986, 5.3: any text that is unique).
    """
    from icalendar import Calendar, Event  # noqa: PLC0415 - slow to import

    calendar = Calendar()
    calendar.add("prodid", "-//Tarefold//Deadlines//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    for one in sorted(entries, key=lambda entry: (entry.day, entry.subject, entry.key)):
        event = Event()
        event.add("uid", f"{one.subject}-{one.key}@{host}")
        event.add("dtstamp", one.changed_at.astimezone(UTC))
        event.add("dtstart", one.day)
        event.add("dtend", one.day + timedelta(days=1))
        event.add("summary", one.title)
        event.add("description", one.note)
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return bytes(calendar.to_ical())
