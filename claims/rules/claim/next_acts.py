"""What is ours to do on an open claim now, and by which day.

Where the carrier has to answer first, nothing is ours; a claim's own deadlines are
counted apart.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from claims.rules.claim import life as lifecycle
from claims.rules.letters.due import DueLetter
from inventory.rules.core.text import capital
from inventory.rules.reckoning.moments import day_words

AWAITED = {
    lifecycle.DRAFTED: ("claim",),
    lifecycle.SENT: ("claim",),
    lifecycle.RECEIVED: ("acknowledgement", "disposition"),
    lifecycle.ACKNOWLEDGED: ("disposition", "status"),
    lifecycle.OFFERED: ("suit", "status"),
    lifecycle.COUNTERED: ("suit", "status"),
    lifecycle.ACCEPTED: ("suit",),
    lifecycle.DISALLOWED: ("suit",),
}
"""The deadline that a claim waits for in each state."""

PROOF_OF_CLAIM = "proof-of-claim"
"""The duty that a carrier's bankruptcy adds in every state."""

SEND_TO_CARRIER = "Send the claim to the carrier of record"
"""What a claim that only a broker has still needs."""


def awaits(state: str, duty: str) -> bool:
    """Return whether a claim in this state waits for this deadline."""
    if duty == PROOF_OF_CLAIM:
        return True
    return duty.split("-", maxsplit=1)[0] in AWAITED.get(state, ())


@dataclass(frozen=True)
class OpenClaim:
    """What the next acts of a claim depend on. Money in cents.

    ``held`` names the payments marked as full that wait, each with its number and the
    last day to repay it. ``asked_on`` is the day of a letter that asks for documents
    and was not answered. ``replied_on`` is the day of our last letter. ``is_unfiled``
    says that it went out, and that no carrier has it.
    """

    state: str
    today: date
    claimed_cents: int = 0
    paid_cents: int = 0
    agreed_cents: int = 0
    held: tuple[tuple[int, str, date | None], ...] = ()
    letter: DueLetter | None = None
    offer_words: str = ""
    offered_on: date | None = None
    offer_by: date | None = None
    asked_on: date | None = None
    asked_by: date | None = None
    declined_on: date | None = None
    replied_on: date | None = None
    missing_papers: int = 0
    is_suppliers: bool = False
    is_unfiled: bool = False


@dataclass(frozen=True)
class NextAct:
    """One act of ours: what, why, by when. ``act`` is a key of the life, or "letter".

    ``key`` names the payment that it is about. ``since`` is where the carrier's own
    term began, if it set one.
    """

    act: str
    label: str
    why: str
    day: date
    key: int = 0
    since: date | None = None

    def by(self, today: date) -> str:
        """Return what to do, with its day, or how late it is."""
        if self.day == today:
            return f"{self.label} today"
        late = (today - self.day).days
        if late > 0:
            return f"{self.label}, {late} day{'' if late == 1 else 's'} late"
        return f"{self.label} by {day_words(self.day, today)}"


def first_of(acts: Iterable[NextAct]) -> NextAct:
    """Return the act with the earliest day; of one day the one named first."""
    return min(acts, key=lambda one: one.day)


def next_acts(claim: OpenClaim) -> list[NextAct]:
    """Return what is ours to do now, the first one to do first."""
    if claim.state == lifecycle.WITHDRAWING:
        why = "The carrier still has the claim"
        return [
            NextAct("tell-withdrawal", "Send the withdrawal letter", why, claim.today)
        ]
    if claim.state == lifecycle.DRAFTED:
        return list(_draft(claim))
    if claim.is_unfiled:
        return [_refiling(claim)]
    if closing := _closing(claim):
        return [closing]
    return [*_payments(claim), *_answers(claim), *_letters(claim)]


def _draft(claim: OpenClaim) -> Iterator[NextAct]:
    if claim.is_suppliers:
        label = "Hand the claim to the supplier"
        yield NextAct("hand-over", label, "With its file", claim.today)
        return
    if claim.claimed_cents and not claim.missing_papers:
        yield NextAct("send", "Send the claim", "No document is missing", claim.today)


def _refiling(claim: OpenClaim) -> NextAct:
    act = "send" if claim.state == lifecycle.SENT else "refile"
    why = "No carrier has it, so the time to claim runs"
    return NextAct(act, SEND_TO_CARRIER, why, claim.today)


def _closing(claim: OpenClaim) -> NextAct | None:
    paid = claim.paid_cents
    if claim.held:
        return None
    if 0 < claim.claimed_cents <= paid:
        why = "Paid in full"
    elif 0 < claim.agreed_cents <= paid:
        why = "Paid as agreed"
    else:
        return None
    return NextAct("settle", "Close the claim as settled", why, claim.today)


def _payments(claim: OpenClaim) -> Iterator[NextAct]:
    for key, words, repay_by in claim.held:
        label = "Decide on a payment marked as full"
        why = f"{words}. {'Repay or keep it' if repay_by else 'Do not deposit it'}"
        yield NextAct("decide-payment", label, why, claim.today, key)


def _answers(claim: OpenClaim) -> Iterator[NextAct]:
    if claim.asked_on:
        label = "Supply the documents that the carrier asked for"
        why = f"Asked on {day_words(claim.asked_on, claim.today)}"
        yield NextAct(
            "supply-papers",
            label,
            why,
            claim.asked_by or claim.today,
            since=claim.asked_on if claim.asked_by else None,
        )
    if claim.state == lifecycle.OFFERED and claim.offered_on:
        label = f"Answer the offer of {claim.offer_words}"
        why = f"Offered on {day_words(claim.offered_on, claim.today)}"
        if claim.offer_by:
            why = f"Offer ends {day_words(claim.offer_by, claim.today)}"
        yield NextAct(
            "accept",
            label,
            why,
            claim.offer_by or claim.today,
            since=claim.offered_on if claim.offer_by else None,
        )
    declined = claim.declined_on if claim.state == lifecycle.DISALLOWED else None
    if declined and (claim.replied_on is None or claim.replied_on < declined):
        why = f"Declined on {day_words(declined, claim.today)}"
        yield NextAct("letter", "Answer the written denial", why, claim.today)


def _letters(claim: OpenClaim) -> Iterator[NextAct]:
    if claim.letter:
        label, _, why = claim.letter.words.partition(": ")
        day = claim.letter.since if claim.letter.is_late else claim.today
        yield NextAct("letter", label, capital(why), min(day, claim.today))
