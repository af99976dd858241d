"""Crates that a carrier lost on the way home and that nobody claims, as acts of a desk."""

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import groupby

from claims.queries.core.way_home import LineHome
from claims.queries.deadlines.way_home import last_day_to_claim
from claims.queries.desk.staff import Staff
from claims.rules.claim.todo import Stake, Todo
from inventory.rules.core.roles import MANAGER
from inventory.rules.reckoning.counts import pieces_in_words


def to_claim(
    homes: Iterable[LineHome], staff: Staff, today: date, until: date
) -> Iterator[Todo]:
    """Yield one act a return whose claim must reach the carrier by then."""
    free = [one for one in homes if not one.against]
    for row, group in groupby(free, key=lambda one: one.line.crate_return):
        own = list(group)
        day = last_day_to_claim(row, [one.crate.kind for one in own])
        if day is None or day > until:
            continue
        yield Todo(
            label=f"Claim {pieces_in_words(len(own), 'crate')} lost on the way home",
            why=f"{row.carrier} had return {row.number}",
            day=day,
            today=today,
            ref=row.number,
            who=staff.who(row.location_id, MANAGER),
            page="claim_return",
            keys=(row.pk,),
            carrier=row.carrier_id or 0,
            location=row.location_id,
            currency=row.currency,
            home_currency=row.location.currency,
            stakes=tuple(
                Stake(f"return line {one.line.pk}", one.crate.left_cents) for one in own
            ),
        )
