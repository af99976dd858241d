"""What a row of each kind of list becomes: made by the action of its own page."""

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import NAMESPACE_OID, uuid5

from django.db.models import Model

from inventory.actions.crates.terms import add_terms
from inventory.actions.crates.types import add_crate_type
from inventory.actions.deposits.earlier_credits import bring_in_credits
from inventory.actions.deposits.ending import bring_in_opening
from inventory.actions.ledger.locks import lock_books
from inventory.actions.people.partners import add_carrier, add_supplier
from inventory.actions.people.people import add_person
from inventory.actions.receiving.units import list_unit
from inventory.lists_above import makers
from inventory.models import ListImport, User

Fields = Mapping[str, Any]


@dataclass(frozen=True)
class Taken:
    """One row of an import that is being made: what its action is given, by whom."""

    of: ListImport
    row: int
    fields: Fields
    person: User
    at: dt.datetime


def posting_key_of(of: ListImport, row: int, act: str) -> str:
    """Return the ledger's key for what one row of an import posts or reverses."""
    return str(uuid5(NAMESPACE_OID, f"list import {of.pk} row {row} {act}"))


def make_row(taken: Taken) -> Sequence[Model]:
    """Make what one row stands for. Raise RefusedError."""
    add: Any = _OWN.get(taken.of.kind) or makers[taken.of.kind]
    more = _MORE.get(taken.of.kind, {})
    if taken.of.kind in _POSTING:
        more = {"posting_key": posting_key_of(taken.of, taken.row, "opens")}
    made = add(person=taken.person, at=taken.at, **{**more, **taken.fields})
    return made if isinstance(made, list) else [made]


_OWN: dict[str, Callable[..., object]] = {
    "carriers": add_carrier,
    "suppliers": add_supplier,
    "people": add_person,
    "machines": list_unit,
    "crate-types": add_crate_type,
    "crate-terms": add_terms,
    "opening-deposits": bring_in_opening,
    "expected-credits": bring_in_credits,
}
"""The action that makes a row of each kind of list of this floor."""

_POSTING = ("opening-deposits", "expected-credits")
"""The kinds whose rows post to the books of suppliers."""

_MORE: dict[str, Fields] = {
    "carriers": {"periods": []},
    "suppliers": {"periods": []},
    "people": {"password": None, "is_administrator": False},
    "crate-types": {"parts": []},
}
"""What a list says nothing about."""


def lock_for(of: ListImport, rows: Sequence[Fields]) -> None:
    """Take every book that the rows post to, in one order for all, before any event."""
    if of.kind not in _POSTING or of.location is None:
        return
    lock_books((of.location, one["supplier"], one["currency"]) for one in rows)
