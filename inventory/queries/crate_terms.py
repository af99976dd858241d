"""Reads about a supplier's crate types and the terms that bear on them."""

from collections.abc import Iterable
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
from inventory.rules.deposits import Terms
from inventory.rules.measures import format_length
from inventory.rules.terms_words import terms_in_words


@dataclass(frozen=True)
class Priced:
    """One line of prices: of which type, which part, and the cents for each."""

    type_name: str
    part_name: str
    missing_cents: int
    damaged_cents: int


@dataclass(frozen=True)
class TermsShown:
    """Terms as their page shows them; ``standing`` is upcoming, current or past."""

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


def rule_of(row: CrateTerms) -> Terms:
    """Return the terms as the rules reckon with them; steps come prefetched or not."""
    return Terms(
        clock_starts=row.clock_starts,  # type: ignore[arg-type]
        clock_stops=row.clock_stops,  # type: ignore[arg-type]
        full_days=row.full_days,
        includes_last_day=row.includes_last_day,
        decline=row.decline,  # type: ignore[arg-type]
        steps=tuple((step.after_day, step.percent) for step in row.steps.all()),
        ends_day=row.ends_day,
        ceiling=row.ceiling_percent,
        return_freight=row.return_freight,  # type: ignore[arg-type]
        minimum_per_pickup=row.minimum_per_pickup,
        needs_authorization=row.needs_authorization,
        needs_appointment=row.needs_appointment,
        transit_days=row.transit_days,
        unloading_days=row.unloading_days,
        oldest_first=row.oldest_first,
        memo_days=row.memo_days,
    )


def terms_on(suppliers: Iterable[int], day: date) -> dict[int, CrateTerms]:
    """Return for each supplier the terms that hold on a day, in one question.

    The latest start on or before the day counts; of two of one day, the later kept.
    """
    rows = (
        CrateTerms.objects.filter(supplier__in=list(suppliers), starts_on__lte=day)
        .prefetch_related("steps", "rates")
        .order_by("starts_on", "pk")
    )
    return {row.supplier_id: row for row in rows}
