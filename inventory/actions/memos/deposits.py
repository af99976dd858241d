"""What a payment on a deposit reads first: whose it is, and how much more it may be."""

from django.db.models import Sum

from inventory.actions.core.versions import RefusedError
from inventory.models import CreditMemo, Deposit, Leg, SuspenseLine
from inventory.rules.deposits import postings


def deposit_by_key(key: int | None) -> Deposit:
    """Return the deposit of a paying line. Raise RefusedError where it has none."""
    if key is None:
        raise RefusedError("A paying line has no deposit. Nothing was posted.")
    rows = Deposit.objects.select_related("location", "supplier", "crate__shipment")
    return rows.get(pk=key)


def refuse_other_book(row: CreditMemo | SuspenseLine, deposit: Deposit) -> None:
    """Raise RefusedError for a deposit of another location, supplier or currency."""
    book = (deposit.location_id, deposit.supplier_id, deposit.currency)
    if book != (row.location_id, row.supplier_id, row.currency):
        raise RefusedError(
            "That deposit belongs to another location, supplier or currency. "
            "Nothing was saved. Choose one from the list."
        )


def room_on(deposit: Deposit) -> int:
    """Return how much of what was charged the supplier has not paid back yet."""
    paying = (postings.SUPPLIER, postings.OPENING)
    legs = Leg.objects.filter(deposit=deposit, account__kind__in=paying)
    return -int(legs.aggregate(total=Sum("cents"))["total"] or 0)


def surplus_account(deposit: Deposit) -> str:
    """Return the cost that a surplus reduces: lateness where that was withheld."""
    line = deposit.return_lines.filter(is_taken_off=False).order_by("-pk").first()
    is_late = bool(line and line.late_cents and not line.parts_cents)
    return postings.FORFEITED if is_late else postings.CHARGES
