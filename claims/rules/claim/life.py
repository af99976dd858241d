"""The life of a claim: which act is possible in which state, and what it needs.

Receipt counts, not sending: nothing the carrier owes can be recorded before the
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
    """What the acts ask about a claim.

    ``on`` is the day the act says of itself, ``today`` the location's own day;
    ``unanswered`` the numbers of findings marked as handling here that the
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
"""A condition: the empty text where it is met, else the sentence against."""


def _needs_lines(facts: ClaimFacts) -> str:
    if facts.line_count:
        return ""
    return "The claim has no lines. Add a finding first."


def _needs_amount(facts: ClaimFacts) -> str:
    if facts.amount_cents > 0:
        return ""
    return (
        "The claim states no amount. A claim must ask for a specified or "
        "determinable amount of money (49 CFR 370.3(b)). Price the findings or "
        "adjust a line first."
    )


def _needs_identity(facts: ClaimFacts) -> str:
    if facts.identified:
        return ""
    return "Neither PRO nor bill of lading is known. Fill in the freight bill first."


def _needs_carrier(facts: ClaimFacts) -> str:
    if not facts.addressee_is_broker:
        return ""
    return (
        "The carrier on this freight bill is a broker, and a claim is never sent "
        "to a broker. Ask for the motor carrier and change the freight bill first."
    )


def _needs_answers(facts: ClaimFacts) -> str:
    if not facts.unanswered:
        return ""
    numbers = ", ".join(str(number) for number in facts.unanswered)
    return (
        f"Finding {numbers}: handling here has not been answered. "
        "Answer it with a reason first."
    )


def _needs_reason(facts: ClaimFacts) -> str:
    return "" if facts.reason.strip() else "Say why in a few words."


def _needs_day(facts: ClaimFacts) -> str:
    if facts.on is None:
        return "Say on which day."
    if facts.on > facts.today:
        return "The day lies in the future. Record it when it has happened."
    return ""


def _needs_proof(facts: ClaimFacts) -> str:
    if facts.proof.strip():
        return ""
    return "Say what proves it: who signed, or which answer came back."


def _not_before_making(facts: ClaimFacts) -> str:
    if facts.on and facts.made_on and facts.on < facts.made_on:
        return f"The claim was only made on {facts.made_on:%Y-%m-%d}."
    return ""


def _not_before_sending(facts: ClaimFacts) -> str:
    if facts.on and facts.sent_on and facts.on < facts.sent_on:
        return f"The claim was only sent on {facts.sent_on:%Y-%m-%d}."
    return ""


def _not_before_receipt(facts: ClaimFacts) -> str:
    if facts.on and facts.received_on and facts.on < facts.received_on:
        return f"The carrier only received it on {facts.received_on:%Y-%m-%d}."
    return ""


def _needs_unsent_line(facts: ClaimFacts) -> str:
    if not facts.line_was_sent:
        return ""
    return (
        "This line is already with the carrier, so it stays as it was sent. "
        "Add a supplement for more; for less, record the settlement."
    )


@dataclass(frozen=True)
class Act:
    """One act: where it may start, where it ends (None: stays), what it needs."""

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
        "Strike a line", LIVE, None, (_needs_reason, _needs_unsent_line)
    ),
    "decide-paper": Act("Say a paper is not needed", LIVE, None, (_needs_reason,)),
    "send": Act(
        "Record the sending",
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
        "Record proof of receipt",
        frozenset({SENT}),
        RECEIVED,
        (_needs_day, _not_before_sending, _needs_proof),
    ),
    "acknowledge": Act(
        "Record the acknowledgement", frozenset({RECEIVED}), ACKNOWLEDGED, _ANSWER
    ),
    "offer": Act("Record an offer", WITH_CARRIER, OFFERED, _ANSWER),
    "disallow": Act(
        "Record a written disallowance",
        WITH_CARRIER - {DISALLOWED},
        DISALLOWED,
        (*_ANSWER, _needs_reason),
    ),
    "settle": Act("Record the settlement", WITH_CARRIER, SETTLED, _ANSWER),
    "withdraw": Act("Withdraw the claim", LIVE, WITHDRAWN, (_needs_reason,)),
    "build-packet": Act("Build the packet", LIVE | {SETTLED}, None, (_needs_lines,)),
}

_STATE_WORDS = {
    DRAFTED: "The claim has not been sent yet.",
    SENT: "It is not proven yet that the carrier received the claim. Record that first.",
    RECEIVED: "The carrier has already received the claim.",
    ACKNOWLEDGED: "The carrier has already acknowledged the claim.",
    OFFERED: "The carrier has already answered with an offer.",
    DISALLOWED: "The claim is already disallowed; the first writing counts, and a "
    "repeat restarts nothing.",
    SETTLED: "The claim is settled and closed.",
    WITHDRAWN: "The claim was withdrawn.",
}


@dataclass(frozen=True)
class Decision:
    """Where the act leads, or every reason against it. Exactly one is given."""

    new_state: str | None
    reasons: tuple[str, ...] = ()

    @property
    def allowed(self) -> bool:
        """Say whether the act is possible."""
        return not self.reasons


def decide(state: str, act: str, facts: ClaimFacts) -> Decision:
    """Say where ``act`` leads a claim in ``state``, or all that stands against it.

    Raises KeyError for a state or an act that is not in the table.
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
    """Return the one sentence that says what must happen next, and by whom."""
    if state == DRAFTED and missing_papers:
        return f"Get {missing_papers} missing papers, then send the claim"
    return {
        DRAFTED: "Send the claim",
        SENT: "Prove that the carrier received it",
        RECEIVED: "Wait for the carrier's acknowledgement",
        ACKNOWLEDGED: "Wait for the carrier to pay, decline or offer",
        OFFERED: "Answer the offer",
        DISALLOWED: "Answer the disallowance, or sue in time",
        SETTLED: "Nothing: settled",
        WITHDRAWN: "Nothing: withdrawn",
    }[state]
