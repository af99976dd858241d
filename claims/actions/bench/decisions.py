"""The manager's decisions on a finding: price, answer, route."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from claims.actions.bench.findings import subjects_of
from claims.models import ClaimLine, Finding, FindingPart
from claims.queries.core.facts import estimate_of, minutes_of
from claims.rules.bench.causes import HANDLING_ANSWERS, cause_of
from claims.rules.claim import life as lifecycle
from claims.rules.core.vocabulary import ROUTES
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Location, User
from inventory.rules.reckoning.money import format_cents


@dataclass(frozen=True)
class Prices:
    """Part prices in cents by the part's key; how a safety part is fixed.

    ``rate_cents`` is the hourly rate on a bill in another currency than the location's.
    """

    parts: Mapping[int, int | None]
    safety_basis: str = ""
    safety_reference: str = ""
    rate_cents: int | None = None


def price_finding(
    *, person: User, at: datetime, finding: Finding, version: int, prices: Prices
) -> Finding:
    """Price the parts of a repair; the hours take the location's own rate.

    On a bill in another currency they take the rate that is entered with the prices.
    Raise StaleRowError, and RefusedError where there is no rate for hours that were
    noted, or a safety part would be set to repair by its price.
    """
    with transaction.atomic():
        row = _locked(finding)
        location, currency = row.shipment.location, row.shipment.currency
        rate = location.shop_rate_in(currency)
        if location.currency != currency:
            rate = prices.rate_cents or 0
        _check_rate(row, location, rate)
        _check_safety(row, prices)
        change_row(
            row,
            version=version,
            rate_cents=rate or None,
            safety_basis=prices.safety_basis if row.is_safety_part else "",
            safety_reference=prices.safety_reference if row.is_safety_part else "",
        )
        for part in FindingPart.objects.filter(finding=row, pk__in=prices.parts):
            part.price_cents = prices.parts[part.pk]
            part.save(update_fields=["price_cents"])
        estimate = estimate_of(row, rate)
        record_event(
            kind="finding.priced",
            at=at,
            actor=person,
            location=location,
            subjects=subjects_of(row),
            data={
                "number": row.number,
                "amount": format_cents(estimate.total_cents, currency, code=True),
                "rate_cents": row.rate_cents,
                "rate_source": location.shop_rate_source
                if location.currency == currency
                else "entered with the prices",
                "safety_basis": row.safety_basis,
                "safety_reference": row.safety_reference,
            },
        )
        return row


def answer_handling(
    *,
    person: User,
    at: datetime,
    finding: Finding,
    version: int,
    answer: str,
    reason: str,
) -> Finding:
    """Answer "our handling" with a reason. The technician's opinion stays on record.

    Raise StaleRowError, and RefusedError where there is nothing to answer or the
    finding is in a claim that it would have to leave.
    """
    with transaction.atomic():
        row = _locked(finding)
        if not cause_of(row.cause).stops_claim:
            raise RefusedError(
                "This finding is not marked as our handling. Nothing was changed."
            )
        if answer == "ours":
            _refuse_claimed(row)
        change_row(row, version=version, handling_answer=answer, handling_reason=reason)
        record_event(
            kind="finding.answered",
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=subjects_of(row),
            data={
                "number": row.number,
                "answer": HANDLING_ANSWERS[answer].lower(),
                "reason": reason,
            },
        )
        return row


def route_finding(
    *,
    person: User,
    at: datetime,
    finding: Finding,
    version: int,
    route: str,
    reason: str,
) -> Finding:
    """Recover a finding from someone else than the rules propose, with a reason.

    Both notices still go out: the route only decides who is asked to pay. Raise
    StaleRowError, and RefusedError where it would have to leave a claim.
    """
    with transaction.atomic():
        row = _locked(finding)
        if route != "carrier":
            _refuse_claimed(row)
        change_row(row, version=version, route=route, route_reason=reason)
        record_event(
            kind="finding.routed",
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=subjects_of(row),
            data={
                "number": row.number,
                "route": ROUTES[route].lower(),
                "reason": reason,
            },
        )
        return row


def _locked(finding: Finding) -> Finding:
    return (
        Finding.objects.select_for_update(of=("self",))
        .select_related("shipment__location", "delivery", "crate", "unit")
        .get(pk=finding.pk)
    )


def _check_rate(row: Finding, location: Location, rate: int) -> None:
    if rate or not minutes_of(row):
        return
    currency = row.shipment.currency
    if location.currency != currency:
        raise RefusedError(
            f"This bill is in {currency}, and the shop rate of {location} is in "
            f"{location.currency}. Nothing was saved. Enter the hourly rate in {currency}."
        )
    if not location.shop_rate_cents:
        raise RefusedError(
            f"{location} has no shop rate, so the hours have no price. Nothing was "
            "saved. An administrator can enter the rate on the location's page."
        )


def _check_safety(row: Finding, prices: Prices) -> None:
    if not row.is_safety_part:
        return
    if not prices.safety_basis:
        raise RefusedError(
            "This is a safety part. Choose whether it is replaced or repaired by "
            "the maker's written instruction. Nothing was saved."
        )
    if prices.safety_basis == "instruction" and not prices.safety_reference:
        raise RefusedError(
            "Enter the maker's instruction: its date and number. Nothing was saved."
        )


def _refuse_claimed(row: Finding) -> None:
    line = (
        ClaimLine.objects.filter(finding=row, struck_reason="")
        .exclude(claim__state=lifecycle.WITHDRAWN)
        .select_related("claim")
        .order_by("pk")
        .first()
    )
    if line is not None:
        raise RefusedError(
            f"This finding is in claim {line.claim.number}. Remove its line there "
            "first. Nothing was changed."
        )
