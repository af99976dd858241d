"""The life of a notice: written, sent, and received as proven.

Received counts, not sent: a notice stops its clock once its receipt is proven. The
state is read from the days on record; it is stored nowhere.
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.core.vocabulary import NOTICE_STATES
from inventory.rules.core.life import Act, Life, State, leads

WRITTEN = "written"
SENT = "sent"
RECEIVED = "received"


@dataclass(frozen=True)
class NoticeDays:
    """What the acts ask about a notice beside its state.

    ``on`` is the day the act says of itself, ``today`` the location's own day.
    """

    today: date
    on: date | None = None
    sent_on: date | None = None


def state_of(sent_on: date | None, received_on: date | None) -> str:
    """Return the state of a notice with these days."""
    if received_on is not None:
        return RECEIVED
    return WRITTEN if sent_on is None else SENT


def _needs_day(facts: NoticeDays) -> str:
    if facts.on is None:
        return "Say on which day."
    if facts.on > facts.today:
        return "The day lies in the future. Record it when it has happened."
    return ""


def _not_before_sending(facts: NoticeDays) -> str:
    if facts.on and facts.sent_on and facts.on < facts.sent_on:
        return f"It was only sent on {facts.sent_on:%Y-%m-%d}. Check the day."
    return ""


LIFE: Life[NoticeDays] = Life(
    states={
        WRITTEN: State(
            NOTICE_STATES[WRITTEN],
            "It was not sent yet. Record first how and on which day it was sent.",
            "Send the notice",
            tone="late",
        ),
        SENT: State(
            NOTICE_STATES[SENT],
            "It was already sent.",
            "Prove that it was received",
        ),
        RECEIVED: State(
            NOTICE_STATES[RECEIVED],
            "Its receipt is already proven.",
            "Received. Nothing to do",
            tone="kept",
            is_final=True,
        ),
    },
    acts={
        "send": Act(
            "Record the sending",
            "make-claim",
            leads((WRITTEN, SENT), SENT),
            needs=(_needs_day,),
        ),
        "receive": Act(
            "Record proof of receipt",
            "make-claim",
            leads((SENT, RECEIVED), RECEIVED),
            needs=(_needs_day, _not_before_sending),
        ),
    },
)
