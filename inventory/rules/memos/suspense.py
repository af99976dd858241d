"""The life of a credit held in suspense: what a memo credits that is not ours.

Both what the supplier credited by mistake and what it credited twice are owed back
until someone decides otherwise, so age alone never makes income of them. A credit is
income once the supplier says so in writing, or a manager gives the reason (common
practice of accounts payable, no source; unclaimed property law of the state may ask
for more).
"""

from dataclasses import dataclass

from inventory.rules.core.life import Act, Life, State, leads
from inventory.rules.crates.words import SUSPENSE_STATES

OPEN = "open"
MATCHED = "matched"
RETURNED = "returned"
INCOME = "income"
REVERSED = "reversed"


@dataclass(frozen=True)
class HeldFacts:
    """What the acts ask about a held credit beyond its state.

    ``has_answer`` says whether the supplier's written answer is named with its day.
    """

    reason: str = ""
    has_answer: bool = False


def _has_reason(facts: HeldFacts) -> str:
    return "" if facts.reason.strip() else "Enter a reason."


def _has_answer(facts: HeldFacts) -> str:
    if facts.has_answer:
        return ""
    return "Enter the day of the supplier's written answer and who wrote it."


def _ended(key: str, against: str, next_step: str) -> State[HeldFacts]:
    return State(SUSPENSE_STATES[key], against, next_step, tone="done", is_final=True)


LIFE: Life[HeldFacts] = Life(
    states={
        OPEN: State(
            SUSPENSE_STATES[OPEN],
            "This credit is undecided.",
            "Match it, return it, or take it as income with proof",
            tone="late",
        ),
        MATCHED: _ended(
            MATCHED,
            "This credit is already matched to a crate.",
            "Matched. Nothing to do",
        ),
        RETURNED: _ended(
            RETURNED,
            "This credit already went back to the supplier.",
            "Returned. Nothing to do",
        ),
        INCOME: _ended(
            INCOME,
            "This credit was already taken as income.",
            "Taken as income. Nothing to do",
        ),
        REVERSED: _ended(
            REVERSED,
            "The memo of this credit was reversed.",
            "Reversed with its memo. Nothing to do",
        ),
    },
    acts={
        "match": Act("Match to a crate", "post-deposits", leads((OPEN,), MATCHED)),
        "return": Act(
            "Return to the supplier",
            "post-deposits",
            leads((OPEN,), RETURNED),
            needs=(_has_reason,),
        ),
        "take-by-answer": Act(
            "Take as income, by the supplier's written answer",
            "post-deposits",
            leads((OPEN,), INCOME),
            needs=(_has_answer,),
        ),
        "take-by-reason": Act(
            "Take as income, by a manager's reason",
            "approve-write-off",
            leads((OPEN,), INCOME),
            needs=(_has_reason,),
        ),
        "reverse": Act(
            "Reverse with its memo", "post-deposits", leads((OPEN,), REVERSED)
        ),
    },
)
