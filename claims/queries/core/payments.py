"""A claim's payments as the rules need them."""

from datetime import date
from typing import Any

from django.db.models import F, Prefetch, QuerySet

from claims.models import Claim, ClaimPayment, ClaimStep
from claims.queries.core.facts import claim_cents
from claims.rules.claim.payments import Money, Payment, money_of

DECIDE = "decide-payment"


def payments_prefetch(path: str = "payments") -> "Prefetch[Any]":
    """Return the prefetch that ``payments_of`` reads without a query of its own."""
    return Prefetch(path, loaded_payments())


def loaded_payments() -> QuerySet[ClaimPayment]:
    """Return payments with their reversals and with what was decided on them."""
    decided = ClaimStep.objects.filter(act=DECIDE).order_by("pk")
    return (
        # Not by the index on what reverses another: most payments reverse none.
        ClaimPayment.objects.alias(reversed_key=F("reverses_id") + 0)
        .filter(reversed_key=None)
        .select_related("reversal", "recorded_by", "remittance")
        .prefetch_related(Prefetch("steps", decided, to_attr="decisions"))
        .order_by("number")
    )


def payment_facts(row: ClaimPayment) -> Payment:
    """Return one payment of ``loaded_payments`` as the rules need it."""
    decisions: list[ClaimStep] = getattr(row, "decisions")  # noqa: B009 - a prefetch
    return Payment(
        number=row.number,
        on=row.on,
        cents=row.cents,
        method=row.method,
        in_full=row.in_full,
        is_reversed=hasattr(row, "reversal"),
        choices=tuple((step.choice, step.on) for step in decisions),
    )


def payments_of(claim: Claim) -> tuple[Payment, ...]:
    """Return the payments of a claim, in their order."""
    cache = getattr(claim, "_prefetched_objects_cache", {})
    rows = (
        claim.payments.all()
        if "payments" in cache
        else loaded_payments().filter(claim=claim)
    )
    return tuple(payment_facts(row) for row in rows)


def claim_money(claim: Claim) -> Money:
    """Return the money of a claim; its lines are read, so prefetch them for a list."""
    return money_of(claim_cents(claim), payments_of(claim), claim.received_on)


def paid_on(claim: Claim) -> date | None:
    """Return the day of the first payment that counts, None without any."""
    days = [row.on for row in payments_of(claim) if row.state == "counted"]
    return min(days) if days else None
