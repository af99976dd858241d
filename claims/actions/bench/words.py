"""The input of a finding before it is a row, and the number its row gets."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Max

from claims.models import Finding, FindingPart
from inventory.models import Shipment


@dataclass(frozen=True)
class PartNeeded:
    """A part that the repair needs; its price comes from the manager."""

    description: str
    quantity: int
    part_number: str = ""


@dataclass(frozen=True)
class FindingWords:
    """One finding as entered: facts first, opinion separate.

    ``could_be_seen`` None leaves the derived answer; another answer needs
    ``seen_reason``. ``repair_minutes`` is whole minutes of work.
    """

    damage_kind: str
    severity: str
    facts: str
    part: str = ""
    faces: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    pieces: int | None = None
    cause: str = "unknown"
    opinion: str = ""
    is_safety_part: bool = False
    repair_minutes: int = 0
    parts: tuple[PartNeeded, ...] = ()
    could_be_seen: bool | None = None
    seen_reason: str = ""


def next_number(shipment: Shipment) -> int:
    """Return the next finding's number; the caller has locked the freight bill."""
    rows = Finding.objects.filter(shipment=shipment)
    return int(rows.aggregate(last=Max("number"))["last"] or 0) + 1


def lay_parts(finding: Finding, parts: Sequence[PartNeeded]) -> bool:
    """Write the parts of a finding; return whether anything changed.

    A part that stays, by its name and number, keeps its price.
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
