"""The refusal of an offer: the claim stands as filed, and a decision is asked for.

An offer of compromise is no denial unless the carrier's letter says so and gives reasons
(49 U.S.C. 14706(e)(2), from memory), so this letter asks for payment or for a written
denial with its reasons (49 CFR 370.9(a)).
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.letters.claim_letter import LetterFacts, LetterKind
from claims.rules.letters.notices import Letter
from claims.rules.letters.parts import amount, compose, sentence
from claims.rules.letters.terms_of_answers import (
    TO_CARRIER,
    answers_in_time,
    has_offer,
)
from inventory.rules.reckoning.calendars import in_full


@dataclass(frozen=True)
class RefusalChoices:
    """Why the offer is refused, and the day to answer by."""

    why: str
    answer_by: date


def _gives_a_reason(facts: LetterFacts, choices: RefusalChoices) -> str:
    return "" if choices.why.strip() else "Enter why, in your own words."


def _write(facts: LetterFacts, choices: RefusalChoices) -> Letter:
    dated = f" of {in_full(facts.offered_on)}" if facts.offered_on else ""
    offered = amount(facts, facts.offered_cents or 0)
    claimed = amount(facts, facts.claimed_cents)
    paid = f", of which {amount(facts, facts.paid_cents)} is paid" * bool(
        facts.paid_cents
    )
    return compose(
        f"Claim {facts.claim_number}: your offer is not accepted",
        f"We thank you for your offer{dated} of {offered} and do not accept it.",
        sentence(choices.why),
        f"Our claim stands as filed, in the full amount of {claimed}{paid}. All our "
        "rights are reserved.",
        "Please pay the balance, or decline it in writing with your reasons, by "
        f"{in_full(choices.answer_by)}.",
    )


REFUSAL: LetterKind[RefusalChoices] = LetterKind(
    key="refusal",
    name="Refusal of the offer",
    to="carrier",
    lead=(
        "Use it when you do not take the carrier's offer and propose nothing else. The "
        "claim stays as filed."
    ),
    cite="49 CFR 370.9(a); 49 U.S.C. 14706(e)",
    write=_write,
    needs=(*TO_CARRIER, has_offer),
    checks=(_gives_a_reason, answers_in_time),
)
