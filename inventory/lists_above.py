"""The kinds of list of the floor above: who reads, makes and retires their rows.

Apart from what the ground floor reads and makes itself, so that the start loads neither.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from inventory.rules.core.registry import Registry
from inventory.rules.imports.list_kind import ListKind


@dataclass(frozen=True)
class UpperList:
    """A kind of list of the floor above: its reader, its action, and how a row retires.

    ``reader`` is given ``location`` and ``today``, as a ``ListReader`` is.
    """

    kind: ListKind
    reader: Callable[..., Any]
    make: Callable[..., object]
    retire: Mapping[type[Model], Callable[..., None]]


readers: Registry[str, Callable[..., Any]] = Registry("readers of lists", {})
"""What a row of each kind of list becomes."""

makers: Registry[str, Callable[..., object]] = Registry("makers of list rows", {})
"""The action that makes a row of each kind of list."""

retirers: Registry[type[Model], Callable[..., None]] = Registry("retirers of rows", {})
"""How a row is retired: given the row, the reason, who and when."""
