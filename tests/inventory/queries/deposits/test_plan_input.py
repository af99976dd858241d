"""The planner is given by few columns what each deposit, joined in full, would give it."""

from dataclasses import replace
from datetime import timedelta

import pytest

from inventory.models import Crate, Deposit
from inventory.queries.deposits.facts import (
    currency_of,
    facts_of,
    terms_of,
    with_facts,
)
from inventory.queries.deposits.lapsing import must_stay
from inventory.queries.ledger.balances import open_deposits, standing_in
from inventory.queries.returns.plans import Asked, gathered, plannable_pairs
from inventory.rules.crates.words import ON_HAND, READY
from inventory.rules.deposits.credit import DepositError
from inventory.rules.deposits.postings import RECEIVABLE
from inventory.rules.plans.plan import plan_crate
from tests.drawn_crates import Yard
from tests.sizes import cases

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


@pytest.fixture(params=tuple(range(50, cases(52, 56))))
def yard(request):
    return Yard(request.param)


def here(places):
    rows = open_deposits(places).filter(standing_in(RECEIVABLE))
    return rows.filter(crate__state__in=ON_HAND)


def test_each_supplier_with_a_crate_on_deposit_here_can_be_planned(yard):
    gone = yard.books[0].supplier  # its crates left, and their deposits stand
    sent = Crate.objects.filter(shipment__supplier=gone, kind="reusable")
    sent.update(state="scrapped")
    for places in (yard.places, yard.places[:1]):
        pairs = {(row.location, row.supplier) for row in here(places)}
        found = plannable_pairs(places)
        assert found == sorted(pairs, key=lambda one: (one[1].name, one[0].name))


def test_the_same_crates_are_planned_by_the_same_names_and_others_left_out(yard):
    Deposit.objects.filter(pk__in=_some(yard)).update(currency="EUR")
    named = 0
    for place, supplier in plannable_pairs(yard.places):
        asked = Asked(
            location=place,
            supplier=supplier,
            today=yard.todays[place.pk],
            weeks=4,
            ready_days=3,
        )
        crates, deposits, left_out = _plain(asked)
        found = gathered(asked)
        assert found.crates == tuple(crates)
        assert found.left_out == tuple(left_out)
        assert found.named(deposits) == deposits
        named += sum(", " in name for name in deposits)
    assert named, "no two crates of one supplier bear one mark: nothing was told apart"


def _some(yard):
    keys = here(yard.places).values_list("pk", flat=True)
    return list(keys)[::9]


def _plain(asked):
    """Gather as it was done when every deposit was joined in full."""
    rows = here([asked.location]).filter(supplier=asked.supplier)
    currency = currency_of(asked.location, asked.supplier, asked.today)
    crates, deposits, left_out = [], {}, []
    for row in with_facts(rows):
        if row.currency != currency:
            why = f"Its deposit is in {row.currency}; this plan is in {currency}."
            left_out.append((row, why))
            continue
        name = str(row.crate)
        if name in deposits:
            name = f"{name}, PRO {row.crate.shipment.pro_number}"
        if name in deposits:
            name = f"{name}, deposit {row.pk}"
        try:
            crates.append(_crate(name, row, asked))
        except DepositError as error:
            left_out.append((row, str(error)))
        else:
            deposits[name] = row
    return crates, deposits, left_out


def _crate(name, row, asked):
    terms = terms_of(row)
    if terms is None:
        raise DepositError("The deposit has no terms. Add the supplier's terms first.")
    is_ready = row.crate.state in (*READY, "staged")
    available = asked.today + timedelta(days=0 if is_ready else asked.ready_days)
    facts = facts_of(row, available)
    made = plan_crate(name, terms, facts, available_on=available, last=asked.last)
    return replace(made, is_held=must_stay(row.crate))
