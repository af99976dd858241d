"""A supplier's crate types and their terms."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from inventory.models import (
    CrateTerms,
    CrateType,
    DepositRate,
    PartDeduction,
    Supplier,
)
from inventory.queries.deposits.facts import rule_of
from inventory.rules.deposits.terms_words import terms_in_words
from inventory.rules.reckoning.measures import format_length


@dataclass(frozen=True)
class Priced:
    """One line of prices: of which type, which part, and the cents for each."""

    type_name: str
    part_name: str
    missing_cents: int
    damaged_cents: int


@dataclass(frozen=True)
class TermsShown:
    """Terms for their page; ``standing`` is upcoming, current or past."""

    row: CrateTerms
    standing: str
    sentences: tuple[str, ...]
    rates: list[tuple[str, int]]
    deductions: list[Priced]


def types_of(supplier: Supplier) -> QuerySet[CrateType]:
    """Return the supplier's types with their parts, by name."""
    return supplier.crate_types.prefetch_related("parts").order_by("name", "pk")


def size_words(crate_type: CrateType) -> str:
    """Return length, width and height in both units; empty where none is known."""
    sides = (
        ("long", crate_type.length_mm),
        ("wide", crate_type.width_mm),
        ("high", crate_type.height_mm),
        ("high when folded or nested", crate_type.nested_height_mm),
    )
    return ", ".join(f"{format_length(size)} {word}" for word, size in sides if size)


def terms_of_supplier(supplier: Supplier, today: date) -> list[TermsShown]:
    """Return every set of terms with its prices, the newest first."""
    rates = DepositRate.objects.select_related("crate_type").order_by("pk")
    prices = PartDeduction.objects.select_related("part__crate_type").order_by("pk")
    rows = list(
        supplier.terms.prefetch_related("steps")
        .prefetch_related(Prefetch("rates", queryset=rates))
        .prefetch_related(Prefetch("deductions", queryset=prices))
        .order_by("-starts_on", "-pk")
    )
    current = next((row.pk for row in rows if row.starts_on <= today), None)
    return [_shown(row, _standing(row, current, today)) for row in rows]


def _standing(row: CrateTerms, current: int | None, today: date) -> str:
    if row.pk == current:
        return "current"
    return "upcoming" if row.starts_on > today else "past"


def _shown(row: CrateTerms, standing: str) -> TermsShown:
    return TermsShown(
        row=row,
        standing=standing,
        sentences=terms_in_words(rule_of(row)),
        rates=[(rate.crate_type.name, rate.deposit_cents) for rate in row.rates.all()],
        deductions=[
            Priced(
                type_name=price.part.crate_type.name,
                part_name=price.part.name,
                missing_cents=price.missing_cents,
                damaged_cents=price.damaged_cents,
            )
            for price in row.deductions.all()
        ],
    )
