"""Deposits by what stands on them: the keys that are read first, and what stands there."""

import pytest
from django.db import connection

from inventory.models import Deposit, OpenSum
from inventory.queries.ledger.balances import deposit_balance, standing_in
from inventory.rules.deposits.postings import DISPUTED, EXPECTED, RECEIVABLE
from tests.bench.growing import GrowingHouse

pytestmark = pytest.mark.django_db

KINDS = (RECEIVABLE, EXPECTED, DISPUTED)

CHOICES = [(RECEIVABLE,), (EXPECTED, DISPUTED), (RECEIVABLE, EXPECTED, DISPUTED), ()]


@pytest.mark.slow
def test_the_condition_finds_what_the_legs_sum_to():
    GrowingHouse()
    rows = Deposit.objects.all()
    standing = {
        row.pk: {kind for kind in KINDS if deposit_balance(row, kind) > 0}
        for row in rows
    }

    for kinds in CHOICES:
        found = {row.pk for row in rows.filter(standing_in(*kinds))}

        assert bool(found) is bool(kinds)
        assert found == {pk for pk, on in standing.items() if on & set(kinds)}


def test_postgresql_reads_the_keys_before_all_else():
    keys = OpenSum.objects.order_by().values("deposit")
    sql = str(Deposit.objects.filter(pk__among=keys).order_by().query)

    assert ("= ANY (ARRAY (SELECT" in sql) is (connection.vendor == "postgresql")
