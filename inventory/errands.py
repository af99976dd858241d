"""What a person was asked to get, shown at the desk where their work begins.

The floor above knows what is missing; the ground floor's desks show it without knowing
what it is about.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from inventory.models import User
from inventory.rules.core.registry import Registry


@dataclass(frozen=True)
class Errand:
    """One thing to get by a day: its words, why, and the page where it is added."""

    words: str
    why: str
    day: date
    days_words: str
    state: str
    address: str


Source = Callable[[User, date], list[Errand]]

sources: Registry[str, Source] = Registry("sources of errands", {})
"""Who knows of errands; the ground floor knows of none by itself."""


def errands_of(person: User, today: date) -> list[Errand]:
    """Return what this person is to get, the earliest day first."""
    found = [one for source in sources.values() for one in source(person, today)]
    return sorted(found, key=lambda one: (one.day, one.words))
