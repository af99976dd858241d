"""A claim's lines turned into the measure of damages, calculated each time."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal

from claims.models import Claim, ClaimLine
from claims.queries.core.facts import line_cents
from claims.rules.claim.closing import ClaimSheet, SheetLine, close_claim
from claims.rules.damages.facts import Freight, LossLine
from claims.rules.damages.limits import LimitTerms
from claims.rules.damages.measure import Worksheet, measure_damages
from inventory.models import Shipment, Unit
from inventory.queries.returns.listing import mass_of as mass_of_type
from inventory.rules.reckoning.measures import Mass, MeasureError, parse_mass


def counted_lines(claim: Claim) -> list[ClaimLine]:
    """Return the lines that count, in order, with what a worksheet needs joined."""
    return list(
        claim.lines.filter(struck_reason="")
        .select_related("unit__crate", "finding", "return_line__crate__crate_type")
        .order_by("number")
    )


def worksheet_of(claim: Claim, lines: Sequence[ClaimLine]) -> Worksheet | None:
    """Return the measure of damages over these lines; None where there are none.

    ``claim`` comes with its shipment joined. Raise DamagesError where the lines
    contradict each other.
    """
    if not lines:
        return None
    shipment = claim.shipment
    values = _values(lines)
    return measure_damages(
        [_loss_line(line, values[_article(line)]) for line in lines],
        basis=claim.basis,
        currency=claim.currency,
        freight=freight_of(shipment),
        terms=limit_terms(shipment),
    )


def sheet_of(claim: Claim, lines: Sequence[ClaimLine]) -> ClaimSheet | None:
    """Return the claim's sheet: lines, closing and limit; None without lines."""
    worked = worksheet_of(claim, lines)
    if worked is None:
        return None
    rows = [
        SheetLine(
            number=line.number,
            worked_cents=own.loss_cents,
            claimed_cents=line_cents(line)
            if line.adjusted_cents is not None
            else own.loss_cents,
            steps=own.steps,
            note=line.adjusted_reason,
        )
        for line, own in zip(lines, worked.lines, strict=True)
    ]
    return close_claim(worked, rows)


def freight_of(shipment: Shipment) -> Freight | None:
    """Return what we paid of the freight, None where it is not known."""
    if not shipment.freight_borne_cents:
        return None
    return Freight(
        shipment.freight_borne_cents,
        mass_of(shipment.billed_weight, shipment.weight_unit),
    )


def limit_terms(shipment: Shipment) -> LimitTerms:
    """Return what was agreed about the limit on this freight bill."""
    per_lb = shipment.released_value_cents_per_lb
    return LimitTerms(
        regime=shipment.regime,
        per_lb=Decimal(per_lb) / 100 if per_lb is not None else None,
        shipment_mass=mass_of(shipment.billed_weight, shipment.weight_unit),
        carriage_on=shipment.bol_on,
    )


def mass_of(figure: str, unit: str) -> Mass | None:
    """Return a stored mass, None where there is none that can be read."""
    try:
        return parse_mass(figure, unit) if figure else None
    except MeasureError:
        return None


def _article(line: ClaimLine) -> str:
    if line.unit is None:
        return ""
    return str(line.unit) if line.unit.serial else f"{line.unit.model} ({line.unit.pk})"


def _values(lines: Iterable[ClaimLine]) -> dict[str, int]:
    """Return each article's worth; where none is known, the sum its lines claim.

    Without a known worth nothing can cap the repairs, so their sum is used.
    """
    worth: dict[str, int] = defaultdict(int)
    asked: dict[str, int] = defaultdict(int)
    for line in lines:
        key = _article(line)
        worth[key] = max(worth[key], line.value_cents)
        asked[key] += line.repair_cents + line.salvage_cents
    return {key: worth[key] or asked[key] for key in asked}


def _loss_line(line: ClaimLine, worth: int) -> LossLine:
    unit = line.unit
    own = line.value_cents or line.repair_cents + line.salvage_cents
    return LossLine(
        label=line.label,
        outcome=line.outcome,
        value_cents=worth if unit and line.outcome != "short" else own,
        article=_article(line),
        repair_cents=line.repair_cents,
        salvage_cents=line.salvage_cents,
        mass=_crate_mass(line) if line.return_line else _unit_mass(unit),
        mitigation_cents=line.mitigation_cents,
        recovered_cents=line.recovered_cents,
    )


def _crate_mass(line: ClaimLine) -> Mass | None:
    """Return the tare of an empty crate, as its type has it."""
    return mass_of_type(line.return_line.crate.crate_type) if line.return_line else None


def _unit_mass(unit: Unit | None) -> Mass | None:
    return mass_of(unit.weight, unit.weight_unit) if unit else None
