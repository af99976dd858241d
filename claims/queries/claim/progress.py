"""How far a claim has come: its stations with their days, for the page's first screen."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from claims.models import (
    Claim,
    ClaimLetter,
    ClaimStep,
    Notice,
    Supplement,
    ToldClaim,
)
from claims.queries.core.parties import against_filing
from claims.queries.deadlines.clocks import Clock
from claims.rules.claim.life import LIFE
from claims.rules.claim.payments import Money
from claims.rules.core.sending import NO_TRACKING, lacks_tracking
from claims.rules.core.vocabulary import SENT_HOW
from inventory.queries.core.joined import joined
from inventory.rules.reckoning.moments import day_words

_INSPECTED = {
    "made": "Inspected",
    "waived": "Inspection waived",
    "missed": "Inspection missed",
}


@dataclass(frozen=True)
class Station:
    """One station of a claim; ``on`` is None where it was not reached."""

    label: str
    on: date | None
    is_last: bool = False


def stations(
    claim: Claim, notices: Iterable[Notice], steps: Sequence[ClaimStep], money: Money
) -> tuple[Station, ...]:
    """Return the stations of a claim in their order, the last one reached marked."""
    sent = [row.sent_on for row in notices if row.sent_on]
    found = [("Notice sent", min(sent))] if sent else []
    found += [
        (_INSPECTED[step.choice], step.on) for step in steps if step.act == "inspection"
    ][-1:]
    wanted: list[tuple[str, date | None]] = [
        *found,
        *_filed(claim),
        ("Acknowledged", claim.acknowledged_on),
    ]
    if claim.disallowed_on:
        wanted.append(("Declined in writing", claim.disallowed_on))
    if claim.offered_on or claim.ended_on is None:
        wanted.append(("Offer", claim.offered_on))
    is_part = money.paid_cents and money.balance_cents
    wanted.append(("Part paid" if is_part else "Paid", money.last_paid_on))
    is_over = claim.ended_on is not None
    wanted.append((LIFE.words(claim.state) if is_over else "Closed", claim.ended_on))
    last = max((at for at, (_, on) in enumerate(wanted) if on), default=-1)
    return tuple(
        Station(label, on, is_last=place == last)
        for place, (label, on) in enumerate(wanted)
    )


def _filed(claim: Claim) -> list[tuple[str, date | None]]:
    """Return its filing and receipt; what a broker received is neither."""
    if against_filing(claim):
        return [("Sent", claim.sent_on), ("Filed", None), ("Received", None)]
    return [("Filed", claim.sent_on), ("Received", claim.received_on)]


@dataclass(frozen=True)
class Sent:
    """Something that went to the carrier or came from it, with its proof.

    ``page`` and ``key`` name its page, where it has one.
    """

    on: date
    what: str
    how: str = ""
    proof: str = ""
    is_open: bool = False
    came_back: bool = False
    page: str = ""
    key: int | None = None


_RECEIVED = {
    "acknowledge": "Received: acknowledgment",
    "ask-papers": "Received: request for documents",
    "offer": "Received: offer",
    "disallow": "Received: written denial",
    "permission": "Received: written answer",
}
_SENT = {
    "ask-inspection": "Sent: request for inspection",
    "counter": "Sent: counter-offer",
    "supply-papers": "Sent: documents asked for",
    "tell-withdrawal": "Sent: withdrawal letter",
}


def sent_and_received(
    claim: Claim,
    *,
    notices: Iterable[Notice],
    letters: Iterable[ClaimLetter],
    supplements: Iterable[Supplement],
    steps: Iterable[ClaimStep],
) -> list[Sent]:
    """Return what went out and what came, the latest first."""
    found = [
        Sent(step.on, _RECEIVED[step.act], proof="Saved")
        for step in steps
        if step.act in _RECEIVED
    ]
    found += [
        Sent(step.on, _SENT[step.act], SENT_HOW.get(step.choice, ""), "Saved")
        for step in steps
        if step.act in _SENT
    ]
    if claim.sent_on:
        found.append(_proven(claim, "Sent: claim"))
    for row in supplements:
        if row.sent_on:
            found.append(_proven(row, f"Sent: supplement {row.number}"))
    for notice in notices:
        if notice.sent_on:
            words = f"Sent: {notice.get_kind_display()}"
            found.append(_proven(notice, words, "notice"))
    for letter in letters:
        if letter.sent_on:
            words = f"Sent: letter {letter.number}, {letter.kind_words}"
            found.append(_proven(letter, words, "claim_letter"))
    return sorted(found, key=lambda one: one.on, reverse=True)


def _how(row: Claim | Supplement | Notice | ClaimLetter) -> str:
    """Return which way it went, with its tracking number, or that it has none."""
    words = row.get_sent_how_display()
    if row.tracking:
        return f"{words}, {row.tracking}"
    if row.received_on is None and lacks_tracking(row.sent_how, row.tracking):
        return f"{words}. {NO_TRACKING}"
    return words


def _proven(
    row: Claim | Supplement | Notice | ClaimLetter, what: str, page: str = ""
) -> Sent:
    if row.sent_on is None:
        raise LookupError("It was not sent.")
    got = row.received_on
    proof = f"Received {day_words(got, row.sent_on)}" if got else "No proof yet"
    is_mailed = isinstance(row, (Notice, ClaimLetter))
    came_back = got is None and is_mailed and bool(joined(row, "came_back"))
    if isinstance(row, Claim) and against_filing(row):
        got, proof = None, "Not filed with a carrier"
    return Sent(
        row.sent_on,
        what,
        _how(row),
        "The mail came back" if came_back else proof,
        is_open=got is None,
        came_back=came_back,
        page=page,
        key=row.pk,
    )


def told_of(claim: Claim) -> ToldClaim | None:
    """Return what was told last of a claim opened elsewhere; None of any other."""
    rows = claim.told_rows.select_related("told_by").order_by("pk")
    return rows.last() if claim.opened_elsewhere else None


def next_clock(clocks: Iterable[Clock]) -> Clock | None:
    """Return the clock that the first screen shows: the next of ours, else any."""
    running = [one for one in clocks if one.is_running]
    ours = [one for one in running if one.owed_by == "us"]
    return min(ours or running, key=lambda one: (one.day, one.pk), default=None)
