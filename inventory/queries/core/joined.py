"""Reading what a query joined to its rows. A forgotten join is an error, never zero.

Each query that joins sums or counts returns them as a frozen dataclass made here.
"""

from typing import Any

from django.db.models import Model


class NotJoinedError(LookupError):
    """A value that the query did not join to the row: a mistake in the code."""


def joined(row: Model, name: str) -> Any:  # noqa: ANN401 - its reader names the type
    """Return what the query joined to this row under a name.

    Raise NotJoinedError where it joined nothing.
    """
    try:
        return vars(row)[name]
    except KeyError:
        raise NotJoinedError(f"{name} was not joined to {row!r}.") from None


def joined_number(row: Model, name: str) -> int:
    """Return a joined count or sum; a sum of no rows is zero.

    PostgreSQL gives sums as decimals. Raise NotJoinedError where nothing was joined.
    """
    return int(joined(row, name) or 0)
