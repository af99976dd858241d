"""Checking an empty crate against its type's parts list: a check is never edited."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from inventory.actions.core.versions import RefusedError
from inventory.actions.crates.life import decide_act, lock_crate, move_crate
from inventory.models import Crate, CrateCheck, CrateCheckLine, CrateType, User
from inventory.rules.crates import life as rules
from inventory.rules.crates.words import CRATE_STATES


@dataclass(frozen=True)
class PartChecked:
    """How many pieces of the part with this key are missing, and how many damaged."""

    part: int
    missing: int = 0
    damaged: int = 0


def check_crate(
    *,
    person: User,
    at: datetime,
    crate: Crate,
    found: Sequence[PartChecked],
    note: str = "",
    version: int | None = None,
) -> CrateCheck:
    """Check an empty crate against its type's parts list; an unnamed part is complete.

    A new check never changes an old one. Raise RefusedError for a crate of no known
    type, for a part that is not on its list, and where more are missing and damaged
    than required.
    """
    with transaction.atomic():
        row = lock_crate(crate.pk)
        if row.crate_type is None:
            raise RefusedError(
                "Set the crate's type first; it decides the parts list. Nothing was "
                "saved."
            )
        parts = _parts_found(row.crate_type, found)
        told = tuple(part for _key, part in parts)
        result = rules.result_of(told)
        wrong = rules.found_in_words(told)
        check = CrateCheck(
            crate=row, result=result, note=note, checked_at=at, checked_by=person
        )
        decide_act(row, "check", result)
        check.save()
        CrateCheckLine.objects.bulk_create(
            CrateCheckLine(
                check_of=check, part_id=key, missing=part.missing, damaged=part.damaged
            )
            for key, part in parts
        )
        move_crate(
            crate=row,
            act="check",
            to=result,
            person=person,
            at=at,
            version=version,
            data={
                "result": wrong or CRATE_STATES[result].lower(),
                "lines": [[p.name, p.count, p.missing, p.damaged] for p in told],
                "note": note,
            },
        )
        return check


def _parts_found(
    crate_type: CrateType, found: Sequence[PartChecked]
) -> list[tuple[int, rules.PartFound]]:
    """Return each part of the list with its findings."""
    by_part = {one.part: one for one in found}
    parts = list(crate_type.parts.order_by("pk"))
    strange = set(by_part) - {part.pk for part in parts}
    if strange:
        raise RefusedError(
            "The parts list was changed after you opened this page. Nothing was "
            "saved. Open the page again."
        )
    whole = PartChecked(0)
    told = [
        (
            part.pk,
            rules.PartFound(
                part.name,
                part.count,
                by_part.get(part.pk, whole).missing,
                by_part.get(part.pk, whole).damaged,
            ),
        )
        for part in parts
    ]
    try:
        rules.result_of(tuple(part for _key, part in told))
    except ValueError as error:
        raise RefusedError(f"{error} Nothing was saved.") from error
    return told
