"""What the page of a return says of crates lost on the way home, and what to claim."""

from collections.abc import Iterable, Sequence

from django.db.models import Model
from django.urls import reverse

from claims.models import Claim, ClaimLine
from claims.queries.core.way_home import (
    LineHome,
    claims_of_return,
    credit_words,
    ways_home,
)
from claims.queries.deadlines.way_home import last_day_to_claim
from claims.rules.claim.life import LIFE, NOT_PURSUED, WITHDRAWING, WITHDRAWN
from claims.rules.claim.way_home import LOST, claimed_words
from inventory.above import Aside
from inventory.access import may
from inventory.models import CrateReturn, User
from inventory.rules.core.text import capital
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.rules.reckoning.moments import day_words, dock_day
from inventory.rules.reckoning.money import format_cents

NO_CARRIER = "supplier-truck"
_UNPAID = frozenset({WITHDRAWING, WITHDRAWN, NOT_PURSUED})
"""What ends a claim without money: then nothing can be paid twice."""


def asides_of_return(row: Model, person: User) -> list[Aside]:
    """Return what a person who sees claims is told on the page of a return."""
    if not isinstance(row, CrateReturn) or not may(
        person, row.location_id, "see-claims"
    ):
        return []
    claims = [_claimed(one) for one in claims_of_return(row)]
    if row.carrier is None or row.carrier.mode == NO_CARRIER:
        return claims
    open_ones = [one for one in ways_home(row) if not one.against]
    if not open_ones:
        return claims
    return [*claims, _to_claim(row, open_ones, person)]


def paid_twice_words(claim: Claim) -> str:
    """Return what the supplier credited and the claim asks for or was paid too."""
    return "" if claim.state in _UNPAID else credit_words(claim)


def crate_words(lines: Iterable[ClaimLine]) -> str:
    """Return the crates of these lines: the first one, and how many more."""
    crates = [line.return_line.crate for line in lines if line.return_line]
    more = f" and {len(crates) - 1} more" if len(crates) > 1 else ""
    return f"{crates[0]}{more}" if crates else ""


def _claimed(claim: Claim) -> Aside:
    state = claim.get_state_display()
    is_over = claim.state in LIFE.final
    tone = "plain" if claim.state == WITHDRAWN else "kept" if is_over else "running"
    return Aside(
        title="Claimed from the carrier.",
        words=f"{state}:",
        tone=tone,
        links=((f"claim {claim.number}", reverse("claim", args=[claim.pk])),),
    )


def _to_claim(row: CrateReturn, homes: Sequence[LineHome], person: User) -> Aside:
    kinds = [one.crate.kind for one in homes]
    cents = sum(one.crate.left_cents for one in homes)
    amount = format_cents(cents, row.currency, code=True)
    day = last_day_to_claim(row, kinds)
    by = ""
    if day:
        made = dock_day(row.made_at, row.location.zone)
        by = f" The claim must reach {row.carrier} by {day_words(day, made)}."
    title = (
        "Not claimed yet." if LOST in kinds else "The carrier may have to pay for it."
    )
    crates = pieces_in_words(len(homes), "crate")
    may_claim = may(person, row.location_id, "make-claim")
    return Aside(
        title=title,
        words=f"{capital(crates)} {claimed_words(kinds)}, {amount}.{by}",
        tone="running",
        acts=(("Claim it from the carrier", reverse("claim_return", args=[row.pk])),)
        if may_claim
        else (),
    )
