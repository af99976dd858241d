"""The dock's trucks and what is due there, each with its picture."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from claims.queries.receiving.due import Key
from claims.queries.receiving.protests import ImageCase, image_cases
from claims.queries.receiving.truck_page import noted_words
from inventory.models import Crate, Delivery, User
from inventory.queries.receiving.dock import (
    looks_of,
    refused_to_settle,
    trucks_at_dock,
)
from inventory.queries.receiving.thumbs import (
    Thumb,
    thumbs_of_rows,
    thumbs_of_trucks,
)

NOT_SIGNED = frozenset({"refused", "no-wait", "dropped", "unattended"})
"""How a receipt is closed without a driver's signature."""
_DAMAGE = ("damage", "look", "load")
_RECEIPT = ("carrier-image", "receipt", "load")


@dataclass(frozen=True)
class DockTruck:
    """One truck: its crates' states bill by bill, and its picture."""

    row: Delivery
    looks: list[list[str]]
    thumb: Thumb | None

    @property
    def states(self) -> list[str]:
        """Return the states of its crates."""
        return [look for bill in self.looks for look in bill]

    @property
    def unseen(self) -> int:
        """Return how many crates are not inspected."""
        return self.states.count("")

    @property
    def noted(self) -> str:
        """Return "2 exceptions, 1 refused"."""
        return noted_words(self.states)

    @property
    def is_signed_by_driver(self) -> bool:
        """Return whether a driver signed, whatever the exceptions."""
        return self.row.is_signed and self.row.how_signed not in NOT_SIGNED


def dock_trucks(person: User, days: Mapping[int, date]) -> list[DockTruck]:
    """Return today's trucks and every open one, those first."""
    rows = trucks_at_dock(person, days)
    looks = looks_of(rows)
    thumbs = thumbs_of_trucks([row.pk for row in rows if row.is_signed], _DAMAGE)
    return [DockTruck(row, looks[row.pk], thumbs.get(row.pk)) for row in rows]


@dataclass(frozen=True)
class DueCrates:
    """Refused crates of one bill of which nobody has said where they went."""

    rows: list[Crate]
    thumb: Thumb | None

    @property
    def first(self) -> Crate:
        """Return the first of them."""
        return self.rows[0]


@dataclass(frozen=True)
class DueImage:
    """A receipt to compare with the carrier's POD, or to protest."""

    case: ImageCase
    thumb: Thumb | None


def due_images(person: User, at: datetime) -> list[DueImage]:
    """Return the receipts to follow up, each with its picture. Three queries."""
    cases = image_cases(person, at)
    thumbs = thumbs_of_trucks([one.handover.delivery_id for one in cases], _RECEIPT)
    return [DueImage(one, thumbs.get(one.handover.delivery_id)) for one in cases]


def due_crates(person: User, *, asked: Collection[Key]) -> list[DueCrates]:
    """Return the refused crates to settle by bill, each with a picture. Two queries.

    Not those of ``asked``: their disposition has to be requested first.
    """
    rows = [
        row
        for row in refused_to_settle(person)
        if (row.shipment_id, row.delivery_id) not in asked
    ]
    thumbs = thumbs_of_rows([row.pk for row in rows], _DAMAGE)
    bills: dict[tuple[int | None, int], list[Crate]] = {}
    for row in rows:
        bills.setdefault((row.delivery_id, row.shipment_id), []).append(row)
    return [DueCrates(found, thumbs.get(found[0].pk)) for found in bills.values()]
