"""Adding a supplier's crate terms from a date on. They are never changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import (
    CratePart,
    CrateTerms,
    CrateType,
    DepositRate,
    PartDeduction,
    Supplier,
    TermsStep,
    User,
)
from inventory.rules.deposits.credit import Terms


@dataclass(frozen=True)
class Priced:
    """What one missing and one damaged piece of a part cost, in cents."""

    missing_cents: int
    damaged_cents: int


@dataclass(frozen=True)
class TermsTold:
    """Terms as the supplier states them, with their source.

    ``rates`` are deposits in cents by the key of their crate type, ``deductions``
    prices by the key of their part.
    """

    starts_on: date
    currency: str
    rule: Terms
    source: str
    rates: Mapping[int, int]
    deductions: Mapping[int, Priced]


def add_terms(
    *, person: User, at: datetime, supplier: Supplier, told: TermsTold
) -> CrateTerms:
    """Add terms with their steps, deposits and deductions, in one act.

    Raise RefusedError without any deposit, and for a type or a part that is not of
    this supplier.
    """
    with transaction.atomic():
        types = _types(supplier, told.rates)
        parts = _parts(supplier, told.deductions)
        row = CrateTerms.objects.create(
            supplier=supplier,
            starts_on=told.starts_on,
            currency=told.currency,
            source=told.source,
            added_at=at,
            **_columns(told.rule),
        )
        TermsStep.objects.bulk_create(
            TermsStep(terms=row, after_day=day, percent=percent)
            for day, percent in told.rule.steps
        )
        DepositRate.objects.bulk_create(
            DepositRate(terms=row, crate_type=one, deposit_cents=told.rates[one.pk])
            for one in types
        )
        PartDeduction.objects.bulk_create(
            PartDeduction(
                terms=row,
                part=part,
                missing_cents=told.deductions[part.pk].missing_cents,
                damaged_cents=told.deductions[part.pk].damaged_cents,
            )
            for part in parts
        )
        record_event(
            kind="terms.added",
            at=at,
            actor=person,
            location=None,
            subjects=[supplier, row],
            data={
                "supplier": supplier.name,
                "starts_on": told.starts_on.isoformat(),
            },
        )
        return row


def _types(supplier: Supplier, rates: Mapping[int, int]) -> Sequence[CrateType]:
    if not rates:
        raise RefusedError(
            "Enter the deposit of at least one crate type. Nothing was saved."
        )
    rows = list(supplier.crate_types.filter(pk__in=rates).order_by("pk"))
    if len(rows) != len(rates):
        raise RefusedError(
            "A crate type belongs to another supplier. Nothing was saved."
        )
    return rows


def _parts(supplier: Supplier, deductions: Mapping[int, Priced]) -> Sequence[CratePart]:
    rows = CratePart.objects.filter(crate_type__supplier=supplier, pk__in=deductions)
    found = list(rows.select_related("crate_type").order_by("pk"))
    if len(found) != len(deductions):
        raise RefusedError("A part belongs to another supplier. Nothing was saved.")
    return found


def _columns(rule: Terms) -> dict[str, object]:
    return {
        "clock_starts": rule.clock_starts,
        "clock_stops": rule.clock_stops,
        "includes_last_day": rule.includes_last_day,
        "full_days": rule.full_days,
        "decline": rule.decline,
        "ends_day": rule.ends_day,
        "ceiling_percent": rule.ceiling,
        "return_freight": rule.return_freight,
        "minimum_per_pickup": rule.minimum_per_pickup,
        "needs_authorization": rule.needs_authorization,
        "needs_appointment": rule.needs_appointment,
        "oldest_first": rule.oldest_first,
        "transit_days": rule.transit_days,
        "unloading_days": rule.unloading_days,
        "memo_days": rule.memo_days,
    }
