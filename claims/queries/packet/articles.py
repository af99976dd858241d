"""The articles of a claim: each damaged or missing machine, as shipped and as found."""

from collections.abc import Iterable

from claims.models import ClaimLine, Finding
from claims.queries.packet.findings import damage_words, seen_at_delivery
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.text import joined, letter_day
from claims.rules.packet import wording
from claims.rules.packet.content import ArticleFacts
from inventory.models import Crate, Unit


def kind_of(lines: Iterable[ClaimLine]) -> str:
    """Return "Damage", "Shortage" or "Damage and shortage"."""
    outcomes = [line.outcome for line in lines]
    has_short = "short" in outcomes
    if has_short and any(outcome != "short" for outcome in outcomes):
        return wording.BOTH
    return wording.SHORTAGE if has_short else wording.DAMAGE


def units_of(lines: Iterable[ClaimLine]) -> list[Unit]:
    """Return the machines of these lines, each once."""
    found = {line.unit.pk: line.unit for line in lines if line.unit}
    return list(found.values())


def articles_of(gathered: Gathered) -> tuple[ArticleFacts, ...]:
    """Return each claimed machine, or the crate where no machine is named."""
    units = units_of(gathered.lines)
    if not units:
        return (_article(None, gathered),)
    return tuple(_article(unit, gathered) for unit in units)


def _article(unit: Unit | None, gathered: Gathered) -> ArticleFacts:
    own = [row for row in gathered.findings if unit is None or row.unit_id == unit.pk]
    crate = unit.crate if unit else next((row.crate for row in own if row.crate), None)
    around = [
        row
        for row in gathered.findings
        if crate and row.unit_id is None and row.crate_id == crate.pk
    ]
    days = list(
        dict.fromkeys(letter_day(row.inspection.looked_on) for row in own or around)
    )
    return ArticleFacts(
        model=unit.model if unit else _labels(gathered.lines),
        serial=unit.serial if unit else "",
        condition=str(unit.get_condition_display()) if unit else "",
        packing=_packing(own),
        crate=_crate_words(crate, gathered),
        weight=f"{unit.weight} {unit.weight_unit}" if unit and unit.weight else "",
        crate_damage="; ".join(damage_words(row) for row in around),
        damage="; ".join(damage_words(row) for row in own if row not in around),
        found=wording.listed(days),
        seen_at_delivery="; ".join(dict.fromkeys(seen_at_delivery(row) for row in own)),
    )


def _labels(lines: Iterable[ClaimLine]) -> str:
    words = "; ".join(line.label for line in lines)
    return words[:1].upper() + words[1:]


def _packing(findings: Iterable[Finding]) -> str:
    conditions = {row.inspection.crate_condition for row in findings}
    if "none" in conditions:
        return "Not crated"
    return "In a closed crate" if any(row.crate_id for row in findings) else ""


def _crate_words(crate: Crate | None, gathered: Gathered) -> str:
    if crate is None:
        return ""
    billed = gathered.claim.shipment.pieces_billed
    of = (
        f" of {billed}"
        if billed and gathered.claim.shipment.piece_unit == "crate"
        else ""
    )
    return joined(f"{crate.number}{of}", f"mark {crate.mark}" if crate.mark else "")
