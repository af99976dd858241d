"""Rows as the text that a claim file prints."""

from datetime import date, datetime

from claims.rules.damages.facts import Step as WorkedStep
from claims.rules.packet.loss import Step
from inventory.models import Location
from inventory.rules.reckoning.calendars import in_full, in_words
from inventory.rules.reckoning.moments import dock_clock, dock_hour
from inventory.rules.reckoning.money import format_cents

_KINDS = {
    "image/jpeg": "JPEG photo",
    "image/png": "PNG picture",
    "image/webp": "WebP photo",
    "image/heic": "HEIC photo",
    "application/pdf": "PDF document",
}


def day_text(day: date | None) -> str:
    """Return "Fri 20 Nov 2026", or nothing where the day is not known."""
    return in_words(day) if day else ""


def letter_day(day: date | None) -> str:
    """Return "November 20, 2026", as letters to outsiders say it."""
    return in_full(day) if day else ""


def letter_moment(at: datetime, location: Location) -> str:
    """Return "November 20, 2026, 9:31 AM" on the dock's own clock."""
    zone = location.zone
    return f"{letter_day(dock_clock(at, zone).date())}, {dock_hour(at, zone)}"


def amount_text(cents: int | None, currency: str) -> str:
    """Return an amount with its currency, or nothing."""
    return "" if cents is None else format_cents(cents, currency, code=True)


def size_text(size: int) -> str:
    """Return a file's size in bytes, with commas."""
    return f"{size:,} bytes"


def file_kind(media_type: str) -> str:
    """Return the words for a media type."""
    return _KINDS.get(media_type, media_type)


def step_texts(steps: tuple[WorkedStep, ...], currency: str) -> tuple[Step, ...]:
    """Return worked steps as text; one without an amount states none."""
    return tuple(
        Step(
            text=step.text,
            amount=amount_text(step.cents, currency),
            is_total=step.is_total,
        )
        for step in steps
    )


def plural(count: int, word: str) -> str:
    """Return "1 photo" or "3 photos"."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def joined(*parts: str) -> str:
    """Return the parts that say something, with commas between them."""
    return ", ".join(part for part in parts if part.strip(" ,"))
