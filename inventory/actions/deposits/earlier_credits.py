"""Credits that the supplier owes for crates shipped back before these books began."""

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from django.db import transaction
from django.db.models import Max

from inventory.actions.deposits.charging import InvoiceLine, pieces_of, take_on
from inventory.actions.ledger.locks import lock_book
from inventory.models import CrateType, Deposit, Location, Supplier, User
from inventory.queries.deposits.facts import terms_for


def bring_in_credits(  # noqa: PLR0913 - an expected credit has that many columns
    *,
    location: Location,
    supplier: Supplier,
    bill_number: str,
    shipped_on: dt.date,
    reference: str,
    crate_type: CrateType | None,
    count: int,
    amount_cents: int,
    marks: Sequence[str],
    currency: str,
    opened_on: dt.date,
    posting_key: UUID | str,
    person: User,
    at: dt.datetime,
) -> list[Deposit]:
    """Bring in one expected credit per crate, against the opening balances.

    ``amount_cents`` is the credit of each. The supplier's reference, else our bill,
    stands for the invoice; each row brought in is a line of it. Raise RefusedError.
    """
    number = reference or bill_number
    with transaction.atomic():
        lock_book(location, supplier, currency)
        same = Deposit.objects.filter(supplier=supplier, invoice_number=number)
        last = same.aggregate(last=Max("line_number"))["last"] or 0
        line = InvoiceLine(
            location=location,
            supplier=supplier,
            crate_type=crate_type,
            invoice_number=number,
            line_number=last + 1,
            invoiced_on=shipped_on,
            booked_on=opened_on,
            amount_cents=amount_cents,
            currency=currency,
            terms=terms_for(supplier, shipped_on),
            is_opening=True,
            shipped_back_bill=bill_number,
        )
        pieces = pieces_of(line, count, marks, [], posting_key=str(posting_key))
        return take_on(line, pieces, person=person, at=at)
