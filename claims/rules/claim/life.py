"""The life of a claim: which act is possible in which state, and what it needs.

Delivery counts, not sending: nothing the carrier owes can be recorded before the
day on which it received the claim is proven (49 CFR 370.5 and 370.9 run from it).
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

DRAFTED = "drafted"
SENT = "sent"
RECEIVED = "received"
ACKNOWLEDGED = "acknowledged"
OFFERED = "offered"
DISALLOWED = "disallowed"
SETTLED = "settled"
WITHDRAWN = "withdrawn"

STATES = (
    DRAFTED,
    SENT,
    RECEIVED,
    ACKNOWLEDGED,
    OFFERED,
    DISALLOWED,
    SETTLED,
    WITHDRAWN,
)
FINAL = frozenset({SETTLED, WITHDRAWN})
LIVE = frozenset(STATES) - FINAL
WITH_CARRIER = frozenset({RECEIVED, ACKNOWLEDGED, OFFERED, DISALLOWED})


@dataclass(frozen=True)
class ClaimFacts:
    """The facts that the acts need about a claim.

    ``on`` is the day entered for the act, ``today`` the location's own day;
    ``unanswered`` the numbers of findings marked as our handling that the
    manager has not answered.
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


Need = Callable[[ClaimFacts], str]
"""A condition: the empty text where it is met, else the reason against the act."""


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
        return f"That is before the claim was made, on {facts.made_on:%Y-%m-%d}."
    return ""


def _not_before_sending(facts: ClaimFacts) -> str:
    if facts.on and facts.sent_on and facts.on < facts.sent_on:
        return f"That is before the claim was sent, on {facts.sent_on:%Y-%m-%d}."
    return ""


def _not_before_receipt(facts: ClaimFacts) -> str:
    if facts.on and facts.received_on and facts.on < facts.received_on:
        return (
            "That is before the carrier received the claim, on "
            f"{facts.received_on:%Y-%m-%d}."
        )
    return ""


def _needs_unsent_line(facts: ClaimFacts) -> str:
    if not facts.line_was_sent:
        return ""
    return (
        "This line is already with the carrier and cannot change. To claim more, "
        "add a supplement; for less, record the settlement."
    )


@dataclass(frozen=True)
class Act:
    """One act: where it may start, where it ends (None: no change), what it needs."""

    label: str
    starts: frozenset[str]
    ends: str | None
    needs: tuple[Need, ...] = ()


_ANSWER = (_needs_day, _not_before_receipt)

ACTS: dict[str, Act] = {
    "supplement": Act("Add a supplement", LIVE, None, (_needs_answers,)),
    "adjust-line": Act(
        "Adjust a line", LIVE, None, (_needs_reason, _needs_unsent_line)
    ),
    "strike-line": Act(
        "Remove a line", LIVE, None, (_needs_reason, _needs_unsent_line)
    ),
    "decide-paper": Act("Mark a document as not needed", LIVE, None, (_needs_reason,)),
    "send": Act(
        "Record as sent",
        frozenset({DRAFTED, SENT}),
        SENT,
        (
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
        frozenset({SENT}),
        RECEIVED,
        (_needs_day, _not_before_sending, _needs_proof),
    ),
    "acknowledge": Act(
        "Record the acknowledgment", frozenset({RECEIVED}), ACKNOWLEDGED, _ANSWER
    ),
    "offer": Act("Record an offer", WITH_CARRIER, OFFERED, _ANSWER),
    "disallow": Act(
        "Record the written denial",
        WITH_CARRIER - {DISALLOWED},
        DISALLOWED,
        (*_ANSWER, _needs_reason),
    ),
    "settle": Act("Record the settlement", WITH_CARRIER, SETTLED, _ANSWER),
    "withdraw": Act("Withdraw the claim", LIVE, WITHDRAWN, (_needs_reason,)),
    "build-packet": Act("Make the claim file", LIVE | {SETTLED}, None, (_needs_lines,)),
}

_STATE_WORDS = {
    DRAFTED: "The claim has not been sent yet.",
    SENT: "There is no proof yet that the carrier received the claim. Record proof of "
    "delivery first.",
    RECEIVED: "The carrier has already received the claim.",
    ACKNOWLEDGED: "The carrier has already acknowledged the claim.",
    OFFERED: "The carrier has already made an offer.",
    DISALLOWED: "The carrier has already declined the claim in writing. The first letter "
    "counts; a repeat restarts nothing.",
    SETTLED: "The claim is settled and closed.",
    WITHDRAWN: "The claim was withdrawn.",
}


@dataclass(frozen=True)
class Decision:
    """The new state, or every reason against the act. Exactly one is given."""

    new_state: str | None
    reasons: tuple[str, ...] = ()

    @property
    def allowed(self) -> bool:
        """Return whether the act is possible."""
        return not self.reasons


def decide(state: str, act: str, facts: ClaimFacts) -> Decision:
    """Return the state that ``act`` leads to from ``state``, or every reason against it.

    Raise KeyError for a state or an act that is not in the table.
    """
    rule = ACTS[act]
    reasons = [] if state in rule.starts else [_STATE_WORDS[state]]
    reasons += [sentence for need in rule.needs if (sentence := need(facts))]
    if reasons:
        return Decision(None, tuple(reasons))
    return Decision(rule.ends or state)


def acts_from(state: str) -> tuple[str, ...]:
    """Return the acts that may start in this state, in the table's order."""
    return tuple(name for name, act in ACTS.items() if state in act.starts)


def next_step(state: str, *, missing_papers: int = 0) -> str:
    """Return the next thing to do, as one sentence."""
    if state == DRAFTED and missing_papers:
        noun = "document" if missing_papers == 1 else "documents"
        return f"Get {missing_papers} missing {noun}, then send the claim"
    return {
        DRAFTED: "Send the claim",
        SENT: "Record proof of delivery to the carrier",
        RECEIVED: "Wait for the carrier's acknowledgment",
        ACKNOWLEDGED: "Wait for the carrier to pay, decline or offer",
        OFFERED: "Answer the offer",
        DISALLOWED: "Answer the written denial, or sue in time",
        SETTLED: "Settled. Nothing to do.",
        WITHDRAWN: "Withdrawn. Nothing to do.",
    }[state]
