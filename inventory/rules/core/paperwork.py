"""Which paperwork of a freight bill is missing. It never blocks work at the dock."""

from dataclasses import dataclass


@dataclass(frozen=True)
class PaperFacts:
    """The facts on file for one bill, as stored; empty or None is missing."""

    supplier: str
    bol_number: str
    has_bol_date: bool
    delivery_terms: str
    freight_payer: str
    pieces_billed: int | None
    billed_weight: str
    freight_charge_cents: int | None
    units: int
    units_without_serial: int
    units_without_value: int


def missing_papers(facts: PaperFacts) -> tuple[str, ...]:
    """Return what is missing, in the order of the bill."""
    asked = (
        (not facts.supplier, "supplier"),
        (not facts.bol_number, "BOL number"),
        (not facts.has_bol_date, "BOL date"),
        (facts.pieces_billed is None, "pieces billed"),
        (not facts.billed_weight, "weight"),
        (facts.delivery_terms == "unknown", "delivery terms"),
        (facts.freight_payer == "unknown", "who pays the freight"),
        (facts.freight_charge_cents is None, "freight charge"),
        (facts.units == 0, "machines"),
        (facts.units_without_serial > 0, _some(facts.units_without_serial, "serial")),
        (facts.units_without_value > 0, _some(facts.units_without_value, "value")),
    )
    return tuple(words for is_missing, words in asked if is_missing)


def _some(number: int, noun: str) -> str:
    return noun if number == 1 else f"{number} {noun}s"
