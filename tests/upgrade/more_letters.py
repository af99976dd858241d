"""Letters about a claim in every state: confirmed, sent, received, dropped."""

from claims.actions.letters.claim_letters import (
    LetterOrder,
    LetterStep,
    draft_letter,
    draw_letter,
    drop_letter,
    freeze_letter,
    receive_letter,
    send_letter,
)
from claims.actions.packet.packets import build_packet
from claims.rules.letters.claim_letter import NoChoices
from claims.rules.letters.claim_letter_kinds import KINDS


def tell_more_letters(t, claim):
    """Write four tracers of a claim that is not proven to be received."""
    day = t.ago(9)
    build_packet(claim=claim, person=t.manager, at=t.moment(day, 8), today=day)
    letters = [_confirmed(t, claim, hour) for hour in (9, 10, 11, 12)]
    for letter in letters[:2]:
        send_letter(letter=letter, how="courier", step=_step(t, letter, 8))
        letter.refresh_from_db()
    receive_letter(
        letter=letters[0],
        proof="signature",
        words="Signed by its desk",
        file=None,
        step=_step(t, letters[0], 6),
    )
    drop_letter(letter=letters[2], reason="One too many.", step=_step(t, letters[2], 8))


def _confirmed(t, claim, hour):
    day = t.ago(9)
    claim.refresh_from_db()
    order = LetterOrder(
        claim, KINDS["tracer"], NoChoices(), t.manager, t.moment(day, hour), day
    )
    seen = draft_letter(order).digest
    return freeze_letter(draw_letter(order, seen=seen))


def _step(t, letter, days):
    day = t.ago(days)
    at = t.moment(day, 17)
    return LetterStep(t.manager, at, day, letter.version, day)
