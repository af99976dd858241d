"""The life of a notice: written, sent, and received.

Delivery counts, not sending: a notice meets its deadline once proof of delivery is
recorded. The state is read from the days on record; it is stored nowhere.
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.core.days import against_before, against_day
from claims.rules.core.vocabulary import NOTICE_STATES
from inventory.rules.core.life import Act, Life, State, leads

WRITTEN = "written"
SENT = "sent"
RECEIVED = "received"


@dataclass(frozen=True)
class NoticeDays:
    """The facts that the acts need about a notice.

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
    return against_day(facts.on, facts.today)


def _not_before_sending(facts: NoticeDays) -> str:
    return against_before(facts.on, facts.sent_on, "the notice was sent")


LIFE: Life[NoticeDays] = Life(
    states={
        WRITTEN: State(
            NOTICE_STATES[WRITTEN],
            "The notice has not been sent yet. Record how and when it was sent first.",
            "Send the notice",
            tone="late",
        ),
        SENT: State(
            NOTICE_STATES[SENT],
            "The notice has already been sent.",
            "Record proof of delivery",
        ),
        RECEIVED: State(
            NOTICE_STATES[RECEIVED],
            "Proof of delivery is already recorded.",
            "Received. Nothing to do",
            tone="kept",
            is_final=True,
        ),
    },
    acts={
        "send": Act(
            "Send the notice",
            "make-claim",
            leads((WRITTEN, SENT), SENT),
            needs=(_needs_day,),
        ),
        "receive": Act(
            "Record proof of delivery",
            "make-claim",
            leads((SENT, RECEIVED), RECEIVED),
            needs=(_needs_day, _not_before_sending),
        ),
    },
)
