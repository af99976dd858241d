"""The cost of a return truck, saved for the planner."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import change_row
from inventory.models import Location, ReturnCosts, Supplier, User
from inventory.rules.core.changes import changed_words


def set_return_costs(
    *,
    location: Location,
    supplier: Supplier,
    version: int,
    person: User,
    at: datetime,
    **costs: object,
) -> ReturnCosts:
    """Save the costs of a truck from a location to a supplier.

    ``version`` is that of the row that was seen, 1 where there was none. Raise
    StaleRowError.
    """
    with transaction.atomic():
        row, _ = ReturnCosts.objects.get_or_create(
            location=location,
            supplier=supplier,
            defaults={"currency": location.currency},
        )
        changed = change_row(row, version=version, **costs)
        record_event(
            kind="return-costs.set",
            at=at,
            actor=person,
            location=location,
            subjects=[row, supplier],
            data={"supplier": supplier.name, "changed": changed_words(changed)},
        )
    return row
