"""What an act on deposits changes beside the ledger, so that it can be undone whole.

The act notes what stood before and tells in its event what it changed: short-paid
credits and the states of crates. Undoing reads that event. A return is open or closed
by what is unsettled on it, so nothing of it need be kept.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.models import Crate, ShortCredit

SHORT = "short"
CRATE = "crate"

_FIELDS = (
    "cause",
    "amount_cents",
    "state",
    "explanation",
    "memo_line_id",
    "settled_on",
    "disputed_on",
)

Effect = dict[str, Any]
"""One change: ``noun``, ``key``, ``before`` (None for a new row) and ``after``.

A short-paid credit is told by its fields, a crate by its state.
"""


@dataclass(frozen=True)
class Standing:
    """What stood on some deposits at one moment."""

    deposits: tuple[int, ...]
    shorts: Mapping[int, Effect]
    crates: Mapping[int, str]


def standing_on(deposits: Iterable[int]) -> Standing:
    """Return what stands on these deposits now; call it under their book's lock."""
    keys = tuple(sorted(set(deposits)))
    shorts = ShortCredit.objects.filter(deposit__in=keys)
    crates = Crate.objects.filter(deposits__in=keys)
    return Standing(
        keys,
        {row.pk: fields_of(row) for row in shorts},
        dict(crates.values_list("pk", "state")),
    )


def effects_since(before: Standing) -> list[Effect]:
    """Return what has changed since, in the order of nouns and keys."""
    now = standing_on(before.deposits)
    found = [
        _effect(SHORT, key, before.shorts.get(key), fields)
        for key, fields in sorted(now.shorts.items())
        if before.shorts.get(key) != fields
    ]
    return found + [
        _effect(CRATE, key, before.crates[key], state)
        for key, state in sorted(now.crates.items())
        if before.crates.get(key, state) != state
    ]


def keys_of(effects: Iterable[Effect], noun: str) -> list[int]:
    """Return the keys of the rows of this noun, in their order."""
    return sorted({one["key"] for one in effects if one["noun"] == noun})


def fields_before(effect: Effect) -> dict[str, Any]:
    """Return the fields of a short-paid credit as they stood before."""
    kept: Mapping[str, Any] = effect["before"]
    days: Collection[str] = ("settled_on", "disputed_on")
    return {
        name: date.fromisoformat(value) if name in days and value else value
        for name, value in kept.items()
    }


def _effect(noun: str, key: int, before: object, after: object) -> Effect:
    return {"noun": noun, "key": key, "before": before, "after": after}


def fields_of(row: ShortCredit) -> Effect:
    """Return what an act may change of a short-paid credit, as an event holds it."""
    values = {name: getattr(row, name) for name in _FIELDS}
    return {
        name: value.isoformat() if isinstance(value, date) else value
        for name, value in values.items()
    }
