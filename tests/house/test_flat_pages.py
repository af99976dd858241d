"""No page takes more work for what is closed, nor twice for five times as much open.

Counted, never timed.
"""

import pytest
from django.db import connection, transaction

from tests.bench.counted import opened, pages
from tests.bench.growing import GrowingHouse
from tests.sizes import cases

SMALL, LARGE = 1_000, cases(4_000, 20_000)
MOST = 1.3
"""How much more work a page may take in the large house."""

GROWERS: frozenset[str] = frozenset()
"""Pages that still grow. One that no longer does is taken off; none is added."""


OPEN_COPIES = 10, 50
"""As often the open story is there: 400 and 2,000 open crates and machines."""
MOST_OPEN = 2.0

OPEN_GROWERS = {
    "bench": 2.6,
    "books": 3.1,
    "claims": 4.3,
    "claims?all=settled": 4.3,
    "deposits": 2.7,
    "dock": 4.6,
    "dock (mina)": 4.6,
    "expected": 2.6,
    "month_end": 2.8,
    "plan_returns": 4.6,
    "short_credits": 2.7,
    "suspense": 2.7,
    "tailgate": 2.9,
}
"""Pages that still take more, and how much at most. Some fill a page that was not full
(``FILLED``); the others read few columns of all that is open. None is added."""

FULL_COPIES = 50, 250
"""2,000 and 10,000 open crates and machines: the page is full with either."""
MOST_FULL = 1.6
"""How much more work a full page may take."""
FILLED = ("dock", "dock (mina)", "expected", "returns", "short_credits", "suspense")
"""Pages that show more rows with 2,000 open than with 400, and then no more."""


@pytest.mark.slow
@pytest.mark.django_db
def test_no_page_takes_twice_the_work_for_five_times_as_much_open(client):
    _only_on_sqlite()
    few, many = (_open_work(client, copies) for copies in OPEN_COPIES)
    ratios = {name: many[name] / few[name] for name in few}
    over = {
        name: ratio
        for name, ratio in ratios.items()
        if ratio > OPEN_GROWERS.get(name, MOST_OPEN)
    }
    assert not over, f"These pages take more for what is open: {over}"
    fine = {name for name in OPEN_GROWERS if ratios[name] <= MOST_OPEN}
    assert not fine, f"These no longer grow, take them off: {fine}"


@pytest.mark.slow
@pytest.mark.django_db
def test_a_full_page_takes_little_more_work_for_five_times_as_much_open(client):
    _only_on_sqlite()
    few, many = (_open_work(client, copies, FILLED) for copies in FULL_COPIES)
    over = {
        name: (few[name], many[name])
        for name in FILLED
        if many[name] > MOST_FULL * few[name]
    }
    assert not over, f"These pages take more for what they do not show: {over}"


def _open_work(client, copies, names=()):
    with transaction.atomic():
        work = _work(client, GrowingHouse(copies).grow(SMALL + 2_000), names)
        transaction.set_rollback(True)
    return work


@pytest.mark.slow
@pytest.mark.django_db
def test_no_page_grows_with_what_is_closed(client):
    _only_on_sqlite()
    house = GrowingHouse()
    small, large = (_work(client, house.grow(size)) for size in (SMALL, LARGE))
    grown = {name for name in small if large[name] > MOST * small[name]}
    told = {name: (small[name], large[name]) for name in grown ^ GROWERS}
    assert not grown - GROWERS, f"These pages grow now: {told}"
    assert not GROWERS - grown, f"These no longer grow, take them off: {told}"


def _only_on_sqlite():
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL's plans follow its statistics: see make bench.")


def _work(client, house, names=()):
    found = pages(house.story)
    return {
        name: opened(client, house.who, person, url).work
        for name, (person, url) in found.items()
        if not names or name in names
    }
