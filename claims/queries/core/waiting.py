"""How long we have waited for the carrier of a claim, read from rows at hand."""

from collections.abc import Iterable
from datetime import date

from claims.models import Claim, ClaimLetter
from claims.queries.core.parties import against_filing, written_to
from claims.queries.core.payments import paid_on
from claims.rules.letters.claim_letter import CarrierPeriods, EarlierLetter, Period
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.due import DueLetter, Waiting, letter_due
from claims.rules.regimes import REGIMES


def due_letter(claim: Claim, *, claim_by: date | None, today: date) -> DueLetter | None:
    """Return the letter about this claim that is due, None where none is.

    ``claim`` comes with its shipment joined and its letters loaded.
    """
    if claim.claimant != "us" or written_to(claim).is_broker:
        return None
    if against_filing(claim):
        return None  # what a broker received starts no period of the carrier's
    return letter_due(_waiting(claim, claim_by, today))


def last_claim_day(duties: Iterable[tuple[str, date]]) -> date | None:
    """Return the last safe day for the claim to reach the carrier.

    ``duties`` are the open ones, each with its safe day.
    """
    return min((safe for duty, safe in duties if duty == "claim"), default=None)


def _waiting(claim: Claim, claim_by: date | None, today: date) -> Waiting:
    answers = (claim.offered_on, claim.disallowed_on, paid_on(claim))
    return Waiting(
        today=today,
        sent_on=claim.sent_on,
        received_on=claim.received_on,
        acknowledged_on=claim.acknowledged_on,
        answered_on=min((day for day in answers if day), default=None),
        claim_by=claim_by,
        periods=carrier_periods(claim.shipment.regime),
        letters=earlier_letters(claim.letters.all()),
    )


def carrier_periods(regime: str) -> CarrierPeriods:
    """Return what the rules of the carriage ask of the carrier once it has a claim."""
    rules = REGIMES.get(regime)
    found = {
        record.duty: Period(record.count, record.authority)
        for record in (rules.records if rules else ())
        if record.owed_by == "carrier" and record.count and record.unit == "days"
    }
    return CarrierPeriods(
        found.get("acknowledgement"), found.get("disposition"), found.get("status")
    )


def earlier_letters(rows: Iterable[ClaimLetter]) -> tuple[EarlierLetter, ...]:
    """Return the letters that were not dropped, the first one first."""
    kept = sorted(
        (row for row in rows if not row.dropped_reason), key=lambda row: row.number
    )
    return tuple(
        EarlierLetter(
            kind=row.kind,
            number=row.number,
            dated_on=row.dated_on,
            sent_on=row.sent_on,
            received_on=row.received_on,
            goes_out=row.kind not in KINDS or KINDS[row.kind].to != "ourselves",
        )
        for row in kept
    )
