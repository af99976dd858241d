"""What the floor above says of the ground floor's rows: on a page, and against an act.

The ground floor shows and obeys it without knowing what it is about.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Model

from inventory.models import Location, User
from inventory.rules.core.registry import Registry


@dataclass(frozen=True)
class Aside:
    """A paragraph on the page of a row, with the acts it offers.

    ``title`` leads it; ``links`` are words and address, ``acts`` the buttons.
    """

    title: str
    words: str
    tone: str = "running"
    links: tuple[tuple[str, str], ...] = ()
    acts: tuple[tuple[str, str], ...] = ()


Says = Callable[[Model, User], list[Aside]]
Objects = Callable[[Iterable[Model]], list[str]]
HoldsUp = Callable[[Location, date], list[str]]

says: Registry[type[Model], Says] = Registry("asides on pages", {})
"""Who has something to say on the page of a kind of row."""

objects: Registry[type[Model], Objects] = Registry("objections to undoing", {})
"""Who may object to undoing what was recorded of a kind of row."""

holds_up: Registry[str, HoldsUp] = Registry("what holds up a lock", {})
"""Who knows what is open in a location's books before they are locked through a day."""


def asides_of(row: Model, person: User) -> list[Aside]:
    """Return what the floor above has to say on this row's page to this person."""
    source = says.get(type(row))
    return source(row, person) if source else []


def objections_to_undoing(model: type[Model], rows: Iterable[Model]) -> list[str]:
    """Return each reason of the floor above against undoing what these rows say."""
    source = objects.get(model)
    return source(rows) if source else []


def open_before_lock(location: Location, through: date) -> list[str]:
    """Return the name of each check that is open before this lock of the books."""
    return [name for find in holds_up.values() for name in find(location, through)]
