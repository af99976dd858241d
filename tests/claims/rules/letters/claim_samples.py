"""Claims of all kinds, as the facts of a letter, and what each letter must say of them.

Every fact has a text of its own, so that counting it in a letter means something.
"""

import random
from dataclasses import replace
from datetime import date, timedelta

from claims.rules.letters.claim_letter import (
    NO_PERIODS,
    CarrierPeriods,
    LetterFacts,
    NoChoices,
    Period,
)
from claims.rules.letters.due import REMINDER, STATUS, TRACER
from claims.rules.letters.waiting import DocumentsSent
from claims.rules.packet.content import Party
from inventory.rules.reckoning.calendars import in_full
from inventory.rules.reckoning.money import format_cents

US = CarrierPeriods(
    Period(30, "49 CFR 370.5(a)"),
    Period(120, "49 CFR 370.9(a)"),
    Period(60, "49 CFR 370.9(b)"),
)
"""49 CFR 370.5(a): acknowledge within 30 days; 370.9: decide within 120, then report
at the end of each 60 days."""

DOCUMENTS = ("Bill of lading", "Freight bill", "Packing list", "Signed receipt")
FIRST = date(2025, 1, 2)


def some_claims(count=200, seed=370):
    """Return that many claims: sent or not, proven or not, answered or not."""
    dice = random.Random(seed)
    return [_claim(dice, number) for number in range(count)]


def _claim(dice, number):
    delivered = FIRST + timedelta(days=dice.randrange(300))
    sent = delivered + timedelta(days=dice.randrange(3, 60))
    received = sent + timedelta(days=dice.randrange(1, 9))
    is_sent = dice.random() < 0.85
    is_proven = is_sent and dice.random() < 0.7
    today = received + timedelta(days=dice.choice((1, 29, 30, 31, 90, 119, 120, 500)))
    is_us = dice.random() < 0.7
    facts = LetterFacts(
        today=today,
        regime="us-motor" if is_us else "cmr",
        currency="USD" if is_us else "EUR",
        claim_number=f"C-QN-{2026 + number}",
        claimant="us",
        pro=f"PRO{number:04d}-7",
        sender=Party("Tallow Acre Machinery", ("880 Granary Road", "East Tallow, IA")),
        carrier=Party(
            "Sedge & Stone <Lines>", ("Cargo Claims", "claims@sedge.example")
        ),
        signer="Mina Osterby",
        signer_title="Claims manager",
        signer_phone="402 555 0131",
        bol=f"BOL/{number:03d}" if dice.random() < 0.8 else "",
        bol_on=delivered - timedelta(days=dice.randrange(4, 9)),
        delivered_on=delivered,
        claimed_cents=dice.randrange(1, 90_000_000),
        carrier_claim_number=f"S&S {number} A" if dice.random() < 0.5 else "",
        sent_on=sent if is_sent else None,
        sent_how="certified mail" if is_sent else "",
        received_on=received if is_proven else None,
        received_words=f"Signed by L. Parr, no. {number}." if is_proven else "",
        periods=US if is_us else NO_PERIODS,
        claim_file=f"Claim file, version {number + 1} of today",
        documents=DOCUMENTS,
        pay_to="Tallow Acre, Accounts\nBox 12" if dice.random() < 0.5 else "",
    )
    if is_proven and dice.random() < 0.3:
        facts = replace(facts, acknowledged_on=received + timedelta(days=1))
    return facts


def choices_for(kind, facts):
    """Return choices that fit a letter of this kind."""
    if kind.key != "documents":
        return NoChoices()
    asked = facts.today - timedelta(days=2)
    return DocumentsSent(("Freight bill", "Packing list"), asked, "Send <both> pages.")


def told(kind, facts):
    """Return every fact that a letter of this kind must say, once each."""
    amount = format_cents(facts.claimed_cents, facts.currency, code=True)
    common = [
        facts.claim_number,
        facts.pro,
        facts.bol and f"{facts.bol} of {in_full(facts.bol_on)}",
        facts.carrier_claim_number,
        amount,
        *(facts.signer, facts.signer_title, facts.signer_phone),
    ]
    return [text for text in (*common, *_own(kind.key, facts)) if text]


def _own(key, facts):
    received, us = facts.received_on, facts.periods is US
    if key == "cover":
        within = "within 30 days of receiving it (49 CFR 370.5(a))" if us else ""
        paid_to = facts.pay_to.splitlines()
        return [in_full(facts.delivered_on), facts.claim_file, within, *paid_to]
    if key == TRACER:
        return [
            f"Copy of our claim of {in_full(facts.sent_on)}. Not a second claim; if the "
            "first did not reach you, this is its filing.",
            "by certified mail",
            facts.claim_file,
        ]
    if key == "documents":
        asked = in_full(facts.today - timedelta(days=2))
        return ["1. Freight bill", "2. Packing list", asked, "Send <both> pages."]
    proven = [in_full(received), facts.received_words.rstrip(".")]
    if key == REMINDER:
        until = in_full(received + timedelta(days=30))
        return [*proven, f"by {until} (49 CFR 370.5(a))" if us else ""]
    assert key == STATUS
    return [*proven, *_status(facts)] if us else proven


def _status(facts):
    """Return the days of 49 CFR 370.9, counted here by hand."""
    first = facts.received_on + timedelta(days=120)
    waited = (facts.today - facts.received_on).days
    if waited < 180:
        ends = "end today" if waited == 120 else f"ended on {in_full(first)}"
        return [f"Your 120 days to decide {ends} (49 CFR 370.9(a))."]
    last = 120 + 60 * ((waited - 120) // 60)
    ended = facts.received_on + timedelta(days=last)
    return [in_full(first), f"Day {last} was {in_full(ended)}.", "(49 CFR 370.9(b))"]
