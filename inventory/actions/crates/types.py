"""The types of crates a supplier lends, each with its parts list."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import (
    CrateCheckLine,
    CratePart,
    CrateType,
    PartDeduction,
    Supplier,
    User,
)

_TAKEN = (
    "This supplier already has a type with that name. Nothing was saved. Open that "
    "type instead."
)


@dataclass(frozen=True)
class PartListed:
    """One part of the list: its name, and how many are required."""

    name: str
    count: int


def add_crate_type(
    *,
    person: User,
    at: datetime,
    supplier: Supplier,
    parts: Sequence[PartListed],
    **fields: object,
) -> CrateType:
    """Add a type with its parts list. Raise RefusedError for a name in use."""
    try:
        with transaction.atomic():
            row = CrateType(supplier=supplier, **fields)
            row.save(force_insert=True)
            _set_parts(row, parts)
            record_event(
                kind="crate-type.added",
                at=at,
                actor=person,
                location=None,
                subjects=[supplier, row],
                data={
                    "name": row.name,
                    "supplier": supplier.name,
                },
            )
            return row
    except IntegrityError as error:
        raise RefusedError(_TAKEN) from error


def change_crate_type(
    *,
    person: User,
    at: datetime,
    crate_type: CrateType,
    version: int,
    parts: Sequence[PartListed],
    **fields: object,
) -> None:
    """Change a type and its parts list.

    Raise StaleRowError, and RefusedError where a part used in checks or terms
    would be removed.
    """
    with transaction.atomic():
        changed = change_row(crate_type, version=version, **fields)
        if _set_parts(crate_type, parts):
            changed.append("parts list")
        record_event(
            kind="crate-type.changed",
            at=at,
            actor=person,
            location=None,
            subjects=[crate_type.supplier, crate_type],
            data={
                "name": crate_type.name,
                "changed": ", ".join(changed).replace("_", " ") or "nothing",
            },
        )


def _set_parts(crate_type: CrateType, parts: Sequence[PartListed]) -> bool:
    """Update the list to what was typed; return whether anything changed."""
    standing = {part.name: part for part in crate_type.parts.order_by("pk")}
    wanted = {part.name: part.count for part in parts}
    if {name: part.count for name, part in standing.items()} == wanted:
        return False
    for name, part in standing.items():
        if name not in wanted:
            _drop(part)
        elif part.count != wanted[name]:
            part.count = wanted[name]
            part.save(update_fields=["count"])
    CratePart.objects.bulk_create(
        CratePart(crate_type=crate_type, name=name, count=count)
        for name, count in wanted.items()
        if name not in standing
    )
    return True


def _drop(part: CratePart) -> None:
    is_named = (
        CrateCheckLine.objects.filter(part=part).exists()
        or PartDeduction.objects.filter(part=part).exists()
    )
    if is_named:
        raise RefusedError(
            f"“{part.name}” is used in a check or in terms, so it must stay on the "
            "list under that name. Nothing was saved. Put it back, or add a new "
            "type."
        )
    part.delete()
