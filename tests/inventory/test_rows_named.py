"""A row's name states its day as people read it: it heads pages and links."""

from datetime import date

import pytest

from inventory.models import (
    BalanceAssertion,
    CrateTerms,
    Entry,
    PeriodLock,
    Supplier,
)

DAY = date(2026, 11, 26)
SUPPLIER = Supplier(name="Harrow Works")


@pytest.mark.parametrize(
    ("row", "name"),
    [
        (
            Entry(kind="charge", effective_on=DAY, currency="USD"),
            "Deposit charged Thu 26 Nov 2026",
        ),
        (PeriodLock(through=DAY), "Locked through Thu 26 Nov 2026"),
        (
            CrateTerms(supplier=SUPPLIER, starts_on=DAY, currency="USD"),
            "Harrow Works from Thu 26 Nov 2026",
        ),
        (
            BalanceAssertion(supplier=SUPPLIER, as_of=DAY, currency="USD"),
            "Harrow Works at Thu 26 Nov 2026",
        ),
    ],
)
def test_a_day_in_a_name_is_no_machine_code(row, name):
    assert str(row) == name
