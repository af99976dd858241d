"""A claim's row turned into the facts that its life asks about."""

from datetime import date

from claims.models import Claim, Finding
from claims.queries.core.bankruptcies import bankruptcy_of
from claims.queries.core.parties import against_filing
from claims.queries.core.payments import claim_money
from claims.rules.claim.life import ACCEPTED
from claims.rules.claim.life_facts import ClaimFacts
from inventory.rules.reckoning.moments import dock_day


def claim_facts(
    claim: Claim,
    *,
    today: date,
    on: date | None = None,
    reason: str = "",
    proof: str = "",
    line_was_sent: bool = False,
    missing: int = 0,
    letter_due: str = "",
) -> ClaimFacts:
    """Return what the life of a claim asks about this one.

    ``missing`` is how many of its documents are still missing, ``letter_due`` which
    letter is due.
    ``claim`` comes with its location, its shipment and that one's carrier joined.
    """
    lines = [line for line in claim.lines.all() if not line.struck_reason]
    unanswered = (
        Finding.objects.filter(
            claim_lines__in=[line.pk for line in lines],
            cause="our-handling",
            handling_answer="",
        )
        .order_by("number")
        .values_list("number", flat=True)
    )
    money = claim_money(claim)
    told = dict(
        claim.steps.filter(act__in=["ask-inspection", "accept"])
        .order_by("pk")
        .values_list("act", "cents")
    )
    return ClaimFacts(
        today=today,
        on=on,
        amount_cents=money.claimed_cents,
        line_count=len(lines),
        unanswered=tuple(unanswered),
        not_filed=against_filing(claim),
        is_bankrupt=bankruptcy_of(claim) is not None,
        identified=bool(claim.shipment.pro_number or claim.shipment.bol_number),
        line_was_sent=line_was_sent,
        made_on=dock_day(claim.made_at, claim.location.zone),
        sent_on=claim.sent_on,
        received_on=claim.received_on,
        disallowed_on=claim.disallowed_on,
        reason=reason,
        proof=proof,
        missing_papers=missing,
        letter_due=letter_due,
        paid_cents=money.paid_cents,
        held_payments=money.held_count,
        is_inspection_asked="ask-inspection" in told,
        is_suppliers=claim.claimant == "supplier",
        agreed_cents=told.get("accept") or 0 if claim.state == ACCEPTED else 0,
    )
