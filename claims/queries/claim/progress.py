"""How far a claim has come: its stations with their days, for the page's first screen."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from claims.models import Claim, ClaimStep, Notice
from claims.queries.deadlines.clocks import Clock
from claims.rules.claim.life import LIFE
from claims.rules.claim.payments import Money
from claims.rules.core.vocabulary import INSPECTION_ENDS


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
        (INSPECTION_ENDS[step.choice], step.on)
        for step in steps
        if step.act == "inspection"
    ][-1:]
    wanted: list[tuple[str, date | None]] = [
        *found,
        ("Filed", claim.sent_on),
        ("Received by carrier", claim.received_on),
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


def next_clock(clocks: Iterable[Clock]) -> Clock | None:
    """Return the clock that the first screen shows: the next of ours, else any."""
    running = [one for one in clocks if one.is_running]
    ours = [one for one in running if one.owed_by == "us"]
    return min(ours or running, key=lambda one: (one.day, one.pk), default=None)
