"""What a person says of one thing wrong, before it is a row."""

from collections.abc import Sequence
from dataclasses import dataclass

from claims.models import Finding, FindingPart


@dataclass(frozen=True)
class PartNeeded:
    """A part that the repair needs; its price comes from the manager."""

    description: str
    quantity: int
    part_number: str = ""


@dataclass(frozen=True)
class FindingWords:
    """One thing wrong as it was told: facts first, opinion apart.

    ``could_be_seen`` None leaves the derived answer; another answer needs
    ``seen_reason``. ``repair_minutes`` is whole minutes of work.
    """

    damage_kind: str
    severity: str
    facts: str
    part: str = ""
    faces: tuple[str, ...] = ()
    pieces: int | None = None
    cause: str = "unknown"
    opinion: str = ""
    is_safety_part: bool = False
    repair_minutes: int = 0
    parts: tuple[PartNeeded, ...] = ()
    could_be_seen: bool | None = None
    seen_reason: str = ""


def lay_parts(finding: Finding, parts: Sequence[PartNeeded]) -> bool:
    """Write the parts of a finding; say whether anything changed.

    A part that stays, by its words and number, keeps its price.
    """
    standing = list(finding.parts.order_by("pk"))
    before = [(row.description, row.part_number, row.quantity) for row in standing]
    if before == [(one.description, one.part_number, one.quantity) for one in parts]:
        return False
    prices = {(row.description, row.part_number): row.price_cents for row in standing}
    finding.parts.all().delete()
    FindingPart.objects.bulk_create(
        FindingPart(
            finding=finding,
            description=one.description,
            part_number=one.part_number,
            quantity=one.quantity,
            price_cents=prices.get((one.description, one.part_number)),
        )
        for one in parts
    )
    return True
