"""The life of a claim: which act is possible in which state, and what it needs.

Delivery counts, not sending: nothing the carrier owes can be recorded before the
day on which it received the claim is proven (49 CFR 370.5 and 370.9 run from it).
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.core.vocabulary import CLAIM_STATES
from inventory.rules.core.life import Act, Life, State, leads, stays
from inventory.rules.reckoning.calendars import in_words

DRAFTED = "drafted"
SENT = "sent"
RECEIVED = "received"
ACKNOWLEDGED = "acknowledged"
OFFERED = "offered"
DISALLOWED = "disallowed"
SETTLED = "settled"
WITHDRAWN = "withdrawn"

_WITH_CARRIER = (RECEIVED, ACKNOWLEDGED, OFFERED, DISALLOWED)
_LIVE = (DRAFTED, SENT, *_WITH_CARRIER)


@dataclass(frozen=True)
class ClaimFacts:
    """The facts that the acts need about a claim.

    ``on`` is the day the act says of itself, ``today`` the location's own day;
    ``unanswered`` the numbers of findings marked as handling here that the
    manager has not answered. ``missing_papers`` counts the documents still missing,
    ``letter_due`` says which letter about the claim is due.
    """

    today: date
    on: date | None = None
    amount_cents: int = 0
    line_count: int = 0
    unanswered: tuple[int, ...] = ()
    addressee_is_broker: bool = False
    identified: bool = True
    line_was_sent: bool = False
    made_on: date | None = None
    sent_on: date | None = None
    received_on: date | None = None
    disallowed_on: date | None = None
    reason: str = ""
    proof: str = ""
    missing_papers: int = 0
    letter_due: str = ""


def _needs_lines(facts: ClaimFacts) -> str:
    if facts.line_count:
        return ""
    return "The claim has no lines. Add a finding first."


def _needs_amount(facts: ClaimFacts) -> str:
    if facts.amount_cents > 0:
        return ""
    return (
        "The claim has no amount. A claim must ask for a specified or determinable "
        "amount of money (49 CFR 370.3(b)). Price the findings or adjust a line "
        "first."
    )


def _needs_identity(facts: ClaimFacts) -> str:
    if facts.identified:
        return ""
    return (
        "The PRO and the bill of lading number are both missing. Complete the "
        "paperwork first."
    )


def _needs_carrier(facts: ClaimFacts) -> str:
    if not facts.addressee_is_broker:
        return ""
    return (
        "The carrier on this freight bill is a broker, and a claim is never sent to "
        "a broker. Find out the motor carrier and change the freight bill first."
    )


def _needs_answers(facts: ClaimFacts) -> str:
    if not facts.unanswered:
        return ""
    numbers = ", ".join(str(number) for number in facts.unanswered)
    return (
        f"Finding {numbers} is marked as our handling. Answer it with a reason first."
    )


def _needs_reason(facts: ClaimFacts) -> str:
    return "" if facts.reason.strip() else "Enter a short reason."


def _needs_day(facts: ClaimFacts) -> str:
    if facts.on is None:
        return "Enter the day."
    if facts.on > facts.today:
        return "That day is in the future. Record it once it has happened."
    return ""


def _needs_proof(facts: ClaimFacts) -> str:
    if facts.proof.strip():
        return ""
    return "Enter the proof: who signed, or what reply was received."


def _not_before_making(facts: ClaimFacts) -> str:
    if facts.on and facts.made_on and facts.on < facts.made_on:
        return f"That is before the claim was made, on {in_words(facts.made_on)}."
    return ""


def _not_before_sending(facts: ClaimFacts) -> str:
    if facts.on and facts.sent_on and facts.on < facts.sent_on:
        return f"That is before the claim was sent, on {in_words(facts.sent_on)}."
    return ""


def _not_before_receipt(facts: ClaimFacts) -> str:
    if facts.on and facts.received_on and facts.on < facts.received_on:
        return (
            "That is before the carrier received the claim, on "
            f"{in_words(facts.received_on)}."
        )
    return ""


def _needs_unsent_line(facts: ClaimFacts) -> str:
    if not facts.line_was_sent:
        return ""
    return (
        "This line is already with the carrier and cannot change. To claim more, "
        "add a supplement; for less, record the settlement."
    )


def _documents_first(facts: ClaimFacts) -> str:
    count = facts.missing_papers
    if not count:
        return ""
    noun = "document" if count == 1 else "documents"
    return f"Get {count} missing {noun}, then send the claim"


def _letter_first(facts: ClaimFacts) -> str:
    return facts.letter_due


_ANSWER = (_needs_day, _not_before_receipt)
_ON_LINE = (_needs_reason, _needs_unsent_line)

LIFE: Life[ClaimFacts] = Life(
    states={
        DRAFTED: State(
            CLAIM_STATES[DRAFTED],
            "The claim has not been sent yet.",
            "Send the claim",
            instead=(_documents_first,),
        ),
        SENT: State(
            CLAIM_STATES[SENT],
            "There is no proof yet that the carrier received the claim. Record proof of "
            "delivery first.",
            "Record proof of delivery to the carrier",
            instead=(_letter_first,),
        ),
        RECEIVED: State(
            CLAIM_STATES[RECEIVED],
            "The carrier has already received the claim.",
            "Wait for the carrier's acknowledgment",
            instead=(_letter_first,),
        ),
        ACKNOWLEDGED: State(
            CLAIM_STATES[ACKNOWLEDGED],
            "The carrier has already acknowledged the claim.",
            "Wait for the carrier to pay, decline or offer",
            instead=(_letter_first,),
        ),
        OFFERED: State(
            CLAIM_STATES[OFFERED],
            "The carrier has already made an offer.",
            "Answer the offer",
            instead=(_letter_first,),
        ),
        DISALLOWED: State(
            CLAIM_STATES[DISALLOWED],
            "The carrier has already declined the claim in writing. The first letter "
            "counts, and a repeat restarts nothing.",
            "Answer the written denial, or sue in time",
            instead=(_letter_first,),
            tone="late",
        ),
        SETTLED: State(
            CLAIM_STATES[SETTLED],
            "The claim is settled and closed.",
            "Settled. Nothing to do",
            tone="kept",
            is_final=True,
        ),
        WITHDRAWN: State(
            CLAIM_STATES[WITHDRAWN],
            "The claim was withdrawn.",
            "Withdrawn. Nothing to do",
            tone="late",
            is_final=True,
        ),
    },
    acts={
        "supplement": Act(
            "Add a supplement", "make-claim", stays(_LIVE), needs=(_needs_answers,)
        ),
        "adjust-line": Act("Adjust a line", "make-claim", stays(_LIVE), needs=_ON_LINE),
        "strike-line": Act("Remove a line", "make-claim", stays(_LIVE), needs=_ON_LINE),
        "decide-paper": Act(
            "Mark a document as not needed",
            "decide",
            stays(_LIVE),
            needs=(_needs_reason,),
        ),
        "send": Act(
            "Record as sent",
            "make-claim",
            leads((DRAFTED, SENT), SENT),
            needs=(
                _needs_lines,
                _needs_amount,
                _needs_identity,
                _needs_carrier,
                _needs_answers,
                _needs_day,
                _not_before_making,
            ),
        ),
        "receive": Act(
            "Record proof of delivery",
            "make-claim",
            leads((SENT,), RECEIVED),
            needs=(_needs_day, _not_before_sending, _needs_proof),
        ),
        "acknowledge": Act(
            "Record the acknowledgment",
            "make-claim",
            leads((RECEIVED,), ACKNOWLEDGED),
            needs=_ANSWER,
        ),
        "offer": Act(
            "Record an offer",
            "make-claim",
            leads(_WITH_CARRIER, OFFERED),
            needs=_ANSWER,
        ),
        "disallow": Act(
            "Record the written denial",
            "make-claim",
            leads((RECEIVED, ACKNOWLEDGED, OFFERED), DISALLOWED),
            needs=(*_ANSWER, _needs_reason),
        ),
        "settle": Act(
            "Record the settlement",
            "make-claim",
            leads(_WITH_CARRIER, SETTLED),
            needs=_ANSWER,
        ),
        "withdraw": Act(
            "Withdraw the claim",
            "make-claim",
            leads(_LIVE, WITHDRAWN),
            needs=(_needs_reason,),
        ),
        "build-packet": Act(
            "Make the claim file",
            "build-packet",
            stays((*_LIVE, SETTLED)),
            needs=(_needs_lines,),
        ),
    },
)
