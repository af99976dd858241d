"""Checks of a month that a person carried: one stays so, one was taken back."""

from claims.actions.desk.month_end import carry_check, withdraw_carried
from claims.rules.books.month_end import CHARGES
from inventory.actions.deposits.ending import charge_deposits
from inventory.models import Supplier
from inventory.rules.reckoning.months import CalendarMonth


def tell_more_month_ends(t):
    """Carry a charge without a crate, take that back, and carry it again."""
    abel, at = t.cast.people["abel"], t.moment(t.ago(1), 16)
    charge_deposits(
        location=t.location,
        supplier=Supplier.objects.order_by("pk")[0],
        crate_type=None,
        amount_cents=4_000,
        line_number=1,
        invoice_number="OXI-4997",
        invoiced_on=t.ago(70),
        count=1,
        marks=[],
        crates=[],
        posting_key="month-end/charge",
        person=abel,
        at=t.moment(t.ago(70), 10),
    )

    def carry(reason):
        return carry_check(
            location=t.location,
            month=CalendarMonth.of(t.ago(33)),
            check_key=CHARGES,
            reason=reason,
            person=abel,
            at=at,
        )

    withdraw_carried(carried=carry("The supplier looks for it."), person=abel, at=at)
    carry("The supplier answers in the first week of the month.")
