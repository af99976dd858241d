"""Taking over the claims of earlier versions: their lines hold, their money is a row."""

from collections.abc import Iterator
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from claims.actions.claim.steps import locked
from claims.models import Claim, ClaimLine, ClaimPayment
from claims.rules.claim import life as lifecycle
from inventory.actions.core.events import record_event

FORMER = "As recorded before payments were entered one by one."


def claims_of_before() -> QuerySet[Claim]:
    """Return the claims whose lines or settlement were not taken over yet."""
    lines = _loose().filter(claim=OuterRef("pk"))
    paid = ClaimPayment.objects.filter(claim=OuterRef("pk"), is_former=True)
    return Claim.objects.filter(
        Q(Exists(lines)) & ~Q(state=lifecycle.WITHDRAWN)
        | Q(settled_cents__gt=0, settled_on__isnull=False) & ~Q(Exists(paid))
    ).order_by("pk")


def carry_over_claims(*, at: datetime) -> Iterator[Claim]:
    """Take over each claim of before, one transaction each, and yield it.

    Repeatable: broken off, it goes on where it stopped.
    """
    for claim in claims_of_before():
        with transaction.atomic():
            _carry_over(locked(claim), at)
        yield claim


def _loose() -> QuerySet[ClaimLine]:
    return ClaimLine.objects.filter(
        finding__isnull=False, struck_reason="", holds=False
    )


def _carry_over(claim: Claim, at: datetime) -> None:
    if claim.state != lifecycle.WITHDRAWN:
        _loose().filter(claim=claim).update(holds=True)
    if (
        claim.settled_cents
        and claim.settled_on
        and not claim.payments.filter(is_former=True).exists()
    ):
        ClaimPayment.objects.create(
            claim=claim,
            number=claim.payments.count() + 1,
            on=claim.settled_on,
            cents=claim.settled_cents,
            method="other",
            reason=FORMER,
            is_former=True,
            recorded_at=at,
        )
    record_event(
        kind="claim.carried-over",
        at=at,
        actor=None,
        location=claim.location,
        subjects=[claim.shipment, claim],
        data={"number": claim.number},
    )
