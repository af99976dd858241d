"""Open claims from a list: what kind of list it is, and how far each claim has come."""

from datetime import date

from claims.rules.claim import life
from claims.rules.deadlines.told import ToldDays
from inventory.rules.imports.list_kind import ListKind
from inventory.rules.reckoning.calendars import in_words

ELSEWHERE = "Opened elsewhere"

OPEN_CLAIMS = ListKind(
    key="open-claims",
    title="Open claims",
    noun="claim",
    right="make-claim",
    columns={
        "carrier": "Carrier",
        "pro_number": "PRO number",
        "billed_on": "Bill date",
        "delivered_on": "Delivered on",
        "delivered_proof": "Proof of the delivery day",
        "filed_on": "Claim filed on",
        "filed_proof": "Proof of filing",
        "carrier_claim_number": "Carrier's claim number",
        "claimed_cents": "Amount claimed",
        "currency": "Currency",
        "received": "Amounts received",
        "declined_on": "Declined on",
        "declined_proof": "Proof of the denial",
        "offered_on": "Offer dated",
        "offered_cents": "Offer",
        "note": "Note",
    },
    needed=("carrier", "pro_number", "billed_on", "filed_on", "claimed_cents"),
    same_by=("carrier", "pro_number"),
    days=frozenset(
        {"billed_on", "delivered_on", "filed_on", "declined_on", "offered_on"}
    ),
    signed=frozenset({"claimed_cents", "offered_cents"}),
    example={
        "carrier": "Heron Haulage",
        "pro_number": "88-101190",
        "billed_on": "2026-01-09",
        "delivered_on": "2026-01-14",
        "delivered_proof": "Delivery receipt, signed copy",
        "filed_on": "2026-02-03",
        "filed_proof": "Certified mail receipt 7019 0700",
        "carrier_claim_number": "HC-20441",
        "claimed_cents": "1,840.00",
        "received": "2026-03-20: 300.00",
        "note": "Hood and fender; their Ms. Lund has the file.",
    },
    lead="Claims that were filed before you used this program. A day without its proof is "
    "shown as reported, and no deadline relies on it.",
    is_at_location=True,
)


def state_of(told: ToldDays, *, offered_on: date | None) -> str:
    """Return the state that the proven days show; the rest is recorded here later."""
    declined = told.declined_on if told.is_denial_proven else None
    if declined and (offered_on is None or declined >= offered_on):
        return life.DISALLOWED
    if not (told.is_filing_proven or declined):
        return life.SENT
    return life.OFFERED if offered_on else life.RECEIVED


def receipt_of(told: ToldDays, *, filed: str, declined: str) -> tuple[date | None, str]:
    """Return the day on which the carrier had the claim, and what shows it.

    Its own written denial shows that it had the claim by then.
    """
    if told.is_filing_proven:
        return told.filed_on, filed
    if told.declined_on and told.is_denial_proven:
        day = in_words(told.declined_on)
        return told.declined_on, f"Its own denial of {day}: {declined}"[:200]
    return None, ""
