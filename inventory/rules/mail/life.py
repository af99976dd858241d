"""The life of a mail: waiting, then taken by the mail server or refused by it.

A mail server's yes means that it took the mail, not that anybody has received it.
"""

from dataclasses import dataclass

from inventory.rules.core.life import Act, Life, State, leads

WAITING = "waiting"
TAKEN = "taken"
REFUSED = "refused"
CALLED_OFF = "called-off"

MAIL_STATES = {
    WAITING: "Waiting to be sent",
    TAKEN: "Taken by the mail server",
    REFUSED: "Could not be delivered",
    CALLED_OFF: "Not sent from here",
}


@dataclass(frozen=True)
class MailFacts:
    """What the acts need. ``is_going_out`` means that a try is under way now."""

    reason: str = ""
    is_going_out: bool = False


def _needs_reason(facts: MailFacts) -> str:
    return "" if facts.reason.strip() else "Enter a short reason."


def _not_on_its_way(facts: MailFacts) -> str:
    if not facts.is_going_out:
        return ""
    return "The mail is being sent right now. Look again in a minute."


LIFE: Life[MailFacts] = Life(
    states={
        WAITING: State(
            MAIL_STATES[WAITING],
            "The mail is still waiting to be sent.",
            "The mail goes out by itself",
        ),
        TAKEN: State(
            MAIL_STATES[TAKEN],
            "The mail server has already taken this mail.",
            "Nothing to do. Watch for an answer, or for a mail that comes back",
            tone="kept",
            is_final=True,
        ),
        REFUSED: State(
            MAIL_STATES[REFUSED],
            "This mail could not be delivered.",
            "Send it again, to the right address, or another way",
            tone="late",
        ),
        CALLED_OFF: State(
            MAIL_STATES[CALLED_OFF],
            "This mail was called off.",
            "Nothing to do",
            tone="quiet",
            is_final=True,
        ),
    },
    acts={
        "take": Act("Taken by the mail server", "see", leads((WAITING,), TAKEN)),
        "refuse": Act("Refused by the mail server", "see", leads((WAITING,), REFUSED)),
        "return": Act(
            "It came back",
            "keep-mail",
            leads((TAKEN,), REFUSED),
            needs=(_needs_reason,),
        ),
        "send-again": Act("Send again", "keep-mail", leads((REFUSED,), WAITING)),
        "call-off": Act(
            "Do not send from here",
            "keep-mail",
            leads((WAITING, REFUSED), CALLED_OFF),
            bars=(_not_on_its_way,),
            needs=(_needs_reason,),
        ),
    },
)
