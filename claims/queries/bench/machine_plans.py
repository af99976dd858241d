"""Which plan a machine is drawn by, and what is marked on it."""

from collections.abc import Iterable
from dataclasses import dataclass

from claims.models import Setup
from claims.queries.bench.model_entries import entry_of
from claims.rules.bench.places import PLACES, Place, rows_of
from inventory.models import Unit


def kind_of(unit: Unit) -> str:
    """Return the kind of this machine: of its setup, else of its model, else "general"."""
    setup = (
        Setup.objects.filter(unit=unit)
        .select_related("setup_list")
        .order_by("-pk")
        .first()
    )
    if setup is not None:
        return setup.setup_list.kind
    entry = entry_of(unit.model)
    return entry.kind if entry else "general"


@dataclass(frozen=True)
class DrawnPlace:
    """One place of a plan as it is shown."""

    place: Place
    is_marked: bool


def drawn_plan(kind: str, marked: Iterable[str]) -> list[list[DrawnPlace]]:
    """Return the plan of a kind of machine with these places marked, row by row."""
    found = set(marked)
    return [
        [DrawnPlace(PLACES[key], key in found) for key in row]
        for row in rows_of(kind, found)
    ]
