"""The open amount on a supplier's statement: stored, never changed."""

from datetime import date, datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.locks import lock_book
from inventory.models import BalanceAssertion, Location, Supplier, User
from inventory.rules.reckoning.money import format_cents


def state_balance(
    *,
    location: Location,
    supplier: Supplier,
    as_of: date,
    stated_cents: int,
    currency: str,
    note: str,
    person: User,
    at: datetime,
    today: date,
) -> BalanceAssertion:
    """Save what the supplier states as open at the end of a day.

    The same statement twice is saved once. Raise RefusedError for a future day.
    """
    if as_of > today:
        raise RefusedError(
            "That day is in the future. Nothing was saved. Check the day."
        )
    said = {
        "location": location,
        "supplier": supplier,
        "as_of": as_of,
        "stated_cents": stated_cents,
        "currency": currency,
        "note": note,
    }
    with transaction.atomic():
        lock_book(location, supplier, currency)
        last = BalanceAssertion.objects.filter(
            location=location, supplier=supplier, as_of=as_of, currency=currency
        ).order_by("-pk")
        earlier = last.first()
        if earlier and (earlier.stated_cents, earlier.note) == (stated_cents, note):
            return earlier
        row = BalanceAssertion.objects.create(**said, entered_at=at, entered_by=person)
        record_event(
            kind="statement.stated",
            at=at,
            actor=person,
            location=location,
            subjects=[row, supplier],
            data={
                "supplier": supplier.name,
                "amount": format_cents(stated_cents, currency, code=True),
                "as_of": as_of.isoformat(),
            },
        )
        return row
