"""What the next acts of a claim depend on, from rows at hand."""

from collections.abc import Iterable
from datetime import date

from claims.models import Claim, ClaimPayment, ClaimStep
from claims.queries.core.parties import against_filing
from claims.queries.core.payments import payment_facts
from claims.rules.claim import life as lifecycle
from claims.rules.claim.next_acts import OpenClaim
from claims.rules.claim.payments import HELD, Money
from claims.rules.letters.due import DueLetter
from inventory.rules.reckoning.money import amount_words

ASKS = ("accept", "ask-papers", "offer", "supply-papers")
"""The acts that leave something to answer, or answer it."""


def open_claim(
    claim: Claim,
    money: Money,
    steps: Iterable[ClaimStep],
    *,
    letter: DueLetter | None,
    missing: int,
    today: date,
) -> OpenClaim:
    """Return the facts of a claim; its payments and letters are loaded.

    ``steps`` are those of ASKS, in their order; others do no harm.
    """
    last = {step.act: step for step in steps}
    asked, supplied = last.get("ask-papers"), last.get("supply-papers")
    if asked and supplied and supplied.pk > asked.pk:
        asked = None
    offer, accepted = last.get("offer"), last.get("accept")
    is_agreed = accepted and claim.state == lifecycle.ACCEPTED
    sent = [row.dated_on for row in claim.letters.all() if not row.dropped_reason]
    return OpenClaim(
        state=claim.state,
        today=today,
        claimed_cents=money.claimed_cents,
        paid_cents=money.paid_cents,
        agreed_cents=accepted.cents or 0 if accepted and is_agreed else 0,
        held=_held(claim.payments.all()),
        letter=letter,
        offer_words=amount_words(claim.offered_cents or 0, claim.currency),
        offered_on=claim.offered_on,
        offer_by=offer.by_day if offer else None,
        asked_on=asked.on if asked else None,
        asked_by=asked.by_day if asked else None,
        declined_on=claim.disallowed_on,
        replied_on=max(sent, default=None),
        missing_papers=missing,
        is_suppliers=claim.claimant == "supplier",
        is_unfiled=bool(against_filing(claim)),
    )


def _held(rows: Iterable[ClaimPayment]) -> tuple[tuple[int, str, date | None], ...]:
    found = [(row, payment_facts(row)) for row in rows]
    return tuple(
        (row.pk, f"{row.get_method_display()} {row.reference}".strip(), facts.repay_by)
        for row, facts in found
        if facts.state == HELD
    )
