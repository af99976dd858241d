"""Changing a row only if it is still the version that the person saw."""

from typing import TypeVar

from django.core.exceptions import ValidationError
from django.db.models import Model

from inventory.models.sealed import note_written
from inventory.models.withdrawn import Withdrawable
from inventory.rules.core.life import Verdict

Row = TypeVar("Row", bound=Model)


class StaleRowError(Exception):
    """Someone else changed the row after the form was opened."""

    def __init__(self) -> None:
        super().__init__(
            "Someone changed this after you opened it. Nothing was saved; what you "
            "typed is still here. Compare it with the current page, then save again."
        )


class RefusedError(Exception):
    """The act is not possible; the message says why."""


def granted(verdict: Verdict, about: object = None) -> str:
    """Return the new state, or raise RefusedError with every reason against.

    ``about`` is the row that the sentence begins with, where it must be named.
    """
    if verdict.new_state is None:
        head = "" if about is None else f"{about}: "
        raise RefusedError(f"{head}{verdict.sentence}")
    return verdict.new_state


def change_row(row: Row, *, version: int, **changes: object) -> list[str]:
    """Write the changes if the row still has this version; return what changed.

    Increments the version and refreshes ``row``. Runs the model's own constraints
    first. Raise StaleRowError when the row has changed since, RefusedError with the
    constraint's message where a constraint fails.
    """
    differing = {
        name: value for name, value in changes.items() if getattr(row, name) != value
    }
    for name, value in differing.items():
        setattr(row, name, value)
    try:
        row.clean_fields(
            exclude=[f.name for f in row._meta.fields if f.name not in differing]
        )
        row.validate_constraints()
    except ValidationError as error:
        raise RefusedError(" ".join(error.messages)) from error
    own = type(row)
    manager = own.standing if issubclass(own, Withdrawable) else own._default_manager
    changed = manager.filter(pk=row.pk, version=version).update(
        version=version + 1, **differing
    )
    if changed != 1:
        raise StaleRowError
    note_written(type(row), [row.pk])
    row.refresh_from_db()
    return sorted(differing)
