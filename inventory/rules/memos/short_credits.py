"""The life of a short-paid credit, until it is decided.

A short-paid credit is open until a person decides it. Above the location's limit
nobody accepts a loss alone, and a second person approves each write-off.
"""

from dataclasses import dataclass

from inventory.rules.core.life import Act, Life, State, leads, stays
from inventory.rules.crates.words import SHORT_STATES
from inventory.rules.deposits.postings import needs_second_person

OPEN = "open"
DISPUTED = "disputed"
WON = "won"
ACCEPTED = "accepted"
WRITTEN_OFF = "written-off"
REVERSED = "reversed"

_LIVE = (OPEN, DISPUTED)


@dataclass(frozen=True)
class ShortFacts:
    """What the acts ask about a short-paid credit beyond its state.

    ``asked_by`` and ``person`` are the keys of people. Money is in cents.
    """

    cents: int
    currency: str
    limit: int
    limit_currency: str
    reason: str = ""
    person: int = 0
    asked_by: int | None = None

    @property
    def needs_two(self) -> bool:
        """Return whether this amount needs a second person."""
        return needs_second_person(
            self.cents,
            currency=self.currency,
            limit=self.limit,
            limit_currency=self.limit_currency,
        )


def give_up_act(facts: ShortFacts) -> str:
    """Return the act that gives this amount up: only asking, above the limit."""
    return "ask-write-off" if facts.needs_two else "write-off"


def _has_reason(facts: ShortFacts) -> str:
    return "" if facts.reason.strip() else "Enter a reason."


def _within_limit(facts: ShortFacts) -> str:
    if not facts.needs_two:
        return ""
    return (
        "This is above the limit for one person. Ask for a write-off, which a second "
        "person approves."
    )


def _not_asked_yet(facts: ShortFacts) -> str:
    if facts.asked_by is None:
        return ""
    return "A write-off is already requested. Another person must approve it."


def _asked(facts: ShortFacts) -> str:
    return "" if facts.asked_by is not None else "Nobody has requested a write-off."


def _by_another(facts: ShortFacts) -> str:
    if facts.asked_by is None or facts.asked_by != facts.person:
        return ""
    return "You requested this write-off, so another person must approve it."


LIFE: Life[ShortFacts] = Life(
    states={
        OPEN: State(
            SHORT_STATES[OPEN],
            "This short-paid credit is open.",
            "Dispute it, accept the loss or write it off",
            tone="late",
        ),
        DISPUTED: State(
            SHORT_STATES[DISPUTED],
            "This short-paid credit is already disputed.",
            "Send the letter, and wait for the supplier to pay",
        ),
        WON: State(
            SHORT_STATES[WON],
            "The supplier has paid this.",
            "Paid. Nothing to do",
            tone="kept",
            is_final=True,
        ),
        ACCEPTED: State(
            SHORT_STATES[ACCEPTED],
            "This loss was accepted.",
            "Accepted. Nothing to do",
            tone="done",
            is_final=True,
        ),
        WRITTEN_OFF: State(
            SHORT_STATES[WRITTEN_OFF],
            "This short-paid credit was written off.",
            "Written off. Nothing to do",
            tone="done",
            is_final=True,
        ),
        REVERSED: State(
            SHORT_STATES[REVERSED],
            "What left this short-paid credit was reversed.",
            "Reversed. Nothing to do",
            tone="plain",
            is_final=True,
        ),
    },
    acts={
        "accept": Act(
            "Accept the loss",
            "post-deposits",
            leads((OPEN,), ACCEPTED),
            bars=(_within_limit,),
            needs=(_has_reason,),
        ),
        "dispute": Act(
            "Dispute",
            "post-deposits",
            leads((OPEN,), DISPUTED),
            needs=(_has_reason,),
        ),
        "win": Act("Record the payment", "post-deposits", leads(_LIVE, WON)),
        "write-off": Act(
            "Write off, within the limit",
            "post-deposits",
            leads(_LIVE, WRITTEN_OFF),
            bars=(_within_limit,),
            needs=(_has_reason,),
        ),
        "ask-write-off": Act(
            "Ask for a write-off, above the limit",
            "post-deposits",
            stays(_LIVE),
            bars=(_not_asked_yet,),
            needs=(_has_reason,),
        ),
        "approve-write-off": Act(
            "Approve the write-off",
            "approve-write-off",
            leads(_LIVE, WRITTEN_OFF),
            bars=(_asked, _by_another),
        ),
        "reverse": Act(
            "Undo, alone or with its memo or loss",
            "post-deposits",
            {
                OPEN: (OPEN, REVERSED),
                DISPUTED: (*_LIVE, REVERSED),
                WON: _LIVE,
                ACCEPTED: (*_LIVE, REVERSED),
                WRITTEN_OFF: _LIVE,
            },
        ),
    },
)
