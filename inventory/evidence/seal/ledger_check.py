"""What the images of single rows cannot say: that the ledger is in balance."""

from collections.abc import Iterator
from typing import Any

from django.db import models

from inventory.evidence.seal.sealed_tables import register_sealed
from inventory.evidence.seal.snapshots import Snapshot
from inventory.models import Entry, Leg


def entry_faults(snapshot: Snapshot) -> Iterator[str]:
    """Yield a sentence for each entry whose legs are not two or more and zero.

    And for each entry that legs wait for and that is not there.
    """
    legs: dict[str, list[int]] = {}
    for entry, cents in snapshot.rows(Leg, _columns(Leg, "entry", "cents")):
        found = legs.setdefault(_key(entry), [0, 0])
        found[0] += 1
        found[1] += cents if isinstance(cents, int) else 0
    for (key,) in snapshot.rows(Entry, _columns(Entry, "id")):
        count, total = legs.pop(_key(key), [0, 0])
        if count < 2 or total:
            yield f"entry {key}: {count} legs that sum to {total} cents."
    for key, (count, _) in legs.items():
        yield f"entry {key} is missing; {count} legs wait for it."


def register() -> None:
    """Make every verification check the ledger's balance too."""
    register_sealed(Entry, entry_faults)


def _columns(model: type[models.Model], *names: str) -> list["models.Field[Any, Any]"]:
    fields = {field.name: field for field in model._meta.concrete_fields}
    return [fields[name] for name in names]


def _key(value: object) -> str:
    return str(value).replace("-", "")
