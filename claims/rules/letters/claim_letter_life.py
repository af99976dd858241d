"""The life of a letter about a claim: confirmed, sent, received, or not sent.

Delivery counts, not sending. An email that a server accepted proves nothing; what a
portal answers does, where it has a number. The state is read from the days on record;
it is stored nowhere.
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.core.days import against_before, against_day
from claims.rules.core.vocabulary import CLAIM_LETTER_STATES as WORDS
from inventory.rules.core.life import Act, Life, State, leads

CONFIRMED = "confirmed"
SENT = "sent"
RECEIVED = "received"
DROPPED = "dropped"


@dataclass(frozen=True)
class LetterDays:
    """The facts that the acts need about a letter.

    ``on`` is the day the act says of itself, ``today`` the location's own day. ``proof``
    is a key of ``LETTER_PROOFS``, ``words`` what was typed of it.
    """

    today: date
    on: date | None = None
    sent_on: date | None = None
    confirmed_on: date | None = None
    reason: str = ""
    proof: str = ""
    words: str = ""


def state_of(sent_on: date | None, received_on: date | None, dropped: str) -> str:
    """Return the state of a letter with these days."""
    if dropped:
        return DROPPED
    if received_on is not None:
        return RECEIVED
    return CONFIRMED if sent_on is None else SENT


def _needs_day(facts: LetterDays) -> str:
    return against_day(facts.on, facts.today)


def _not_before_confirming(facts: LetterDays) -> str:
    return against_before(facts.on, facts.confirmed_on, "the letter was confirmed")


def _not_before_sending(facts: LetterDays) -> str:
    return against_before(facts.on, facts.sent_on, "the letter was sent")


def _needs_proof(facts: LetterDays) -> str:
    if not facts.words.strip():
        return "Enter the proof: who signed, or what they answered."
    if facts.proof == "portal" and not any(sign.isdigit() for sign in facts.words):
        return (
            "Enter the number of the portal's confirmation. Without one it is no proof."
        )
    return ""


def _needs_reason(facts: LetterDays) -> str:
    return "" if facts.reason.strip() else "Enter a short reason."


LIFE: Life[LetterDays] = Life(
    states={
        CONFIRMED: State(
            WORDS[CONFIRMED],
            "The letter has not been sent yet. Record how and when it was sent first.",
            "Send the letter",
            tone="late",
        ),
        SENT: State(
            WORDS[SENT],
            "The letter has already been sent.",
            "Record proof of delivery",
        ),
        RECEIVED: State(
            WORDS[RECEIVED],
            "Proof of delivery is already recorded.",
            "Received. Nothing to do",
            tone="kept",
            is_final=True,
        ),
        DROPPED: State(
            WORDS[DROPPED],
            "The letter was dropped: it is not sent.",
            "Dropped. Nothing to do",
            tone="plain",
            is_final=True,
        ),
    },
    acts={
        "send": Act(
            "Record as sent",
            "make-claim",
            leads((CONFIRMED, SENT), SENT),
            needs=(_needs_day, _not_before_confirming),
        ),
        "receive": Act(
            "Record proof of delivery",
            "make-claim",
            leads((SENT, RECEIVED), RECEIVED),
            needs=(_needs_day, _not_before_sending, _needs_proof),
        ),
        "drop": Act(
            "Drop the letter",
            "make-claim",
            leads((CONFIRMED,), DROPPED),
            needs=(_needs_reason,),
        ),
    },
)
