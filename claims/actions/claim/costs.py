"""What going on after an offer costs, entered for a location or for one claim."""

from datetime import datetime

from django.db import transaction

from claims.models import Claim, GoingOnCost
from claims.rules.claim.going_on import entered_words
from claims.rules.claim.offer_facts import Costs
from inventory.actions.core.events import record_event
from inventory.models import Location, User


def enter_costs(
    *,
    location: Location,
    claim: Claim | None,
    costs: Costs,
    person: User,
    at: datetime,
) -> GoingOnCost:
    """Enter what going on costs at a location, or on one claim of it.

    The last entry counts; earlier ones stay. A claim's own comes before its location's.
    """
    currency = claim.currency if claim else location.currency
    with transaction.atomic():
        row = GoingOnCost.objects.create(
            location=location,
            claim=claim,
            currency=currency,
            limit_cents=costs.limit_cents,
            limit_source=costs.limit_source,
            filing_cents=costs.filing_cents,
            serving_cents=costs.serving_cents,
            lawyer_cents=costs.lawyer_cents,
            yearly_percent=costs.yearly_percent,
            months=costs.months,
            entered_at=at,
            entered_by=person,
        )
        record_event(
            kind="claim.costs" if claim else "claim.costs-here",
            at=at,
            actor=person,
            location=location,
            subjects=[claim.shipment, claim] if claim else [location],
            data={
                **({"number": claim.number} if claim else {"place": location.name}),
                "costs": entered_words(costs, currency),
            },
        )
    return row
