"""What a desk reads by few columns is what every row, joined in full, would give."""

from collections import defaultdict
from datetime import timedelta

import pytest
from django.db.models import Exists, OuterRef, Q

from inventory.models import Crate, Deposit
from inventory.queries.crates.yard import (
    FILTERS,
    crates_in,
    keys_in_order,
    lapsing_first,
    page_rows,
    rows_of,
)
from inventory.queries.deposits.aging import ageing_of, memo_due_on
from inventory.queries.deposits.facts import facts_of, terms_of, with_facts
from inventory.queries.deposits.lapsing import (
    due_first,
    lapsing_deposits,
    must_stay,
)
from inventory.queries.deposits.open_book import OpenBook
from inventory.queries.deposits.unmatched import (
    INVOICE_DAYS,
    charged_though_refused,
    charged_without_crate,
    crates_without_charge,
    loose_at,
)
from inventory.queries.ledger.balances import open_deposits, standing_in, sums_on
from inventory.rules.crates.words import ON_HAND
from inventory.rules.deposits import aging as ageing
from inventory.rules.deposits.credit import DepositError, days_left_to_full
from inventory.rules.deposits.postings import RECEIVABLE
from tests.drawn_crates import TODAY, Yard
from tests.sizes import cases

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

SEEDS = tuple(range(cases(2, 6)))
MOST = 7


@pytest.fixture(params=SEEDS)
def yard(request):
    return Yard(request.param)


def test_the_bare_facts_are_the_facts_of_the_joined_rows(yard):
    rows = {row.pk: row for row in with_facts(open_deposits(yard.places))}
    book = OpenBook(yard.places)
    assert len(rows) == len(book.rows)
    for one in book.rows:
        row = rows[one.bare.key]
        sums = sums_on(row)
        assert (one.receivable, one.expected) == (sums.receivable, sums.expected)
        assert (one.disputed, one.location) == (sums.disputed, row.location_id)
        assert book.facts.terms_of(one.bare) == terms_of(row)
        lines = row.live_lines
        days = [line.crate_return.memo_due_on for line in lines]
        assert book.facts.memo_days_of(one.bare) == days
        if not one.receivable:
            continue  # no day is counted of it
        assert book.facts.must_stay(one.bare) == bool(
            row.crate and must_stay(row.crate)
        )
        gone = [line.crate_return.picked_up_on for line in lines]
        for day in {None, TODAY, *gone}:
            assert book.facts.facts_of(one.bare, day) == facts_of(row, day)


def test_crates_are_ordered_by_few_columns_as_their_whole_rows_are(yard):
    for person in (yard.who.mina, yard.who.nell):
        for which in FILTERS:
            rows = crates_in(person, which)
            plain = lapsing_first(rows_of(rows, yard.todays))
            keys = keys_in_order(rows, yard.todays)
            assert keys == [row.crate.pk for row in plain], which
            assert page_rows(rows, keys[3:9], yard.todays) == plain[3:9]


def test_what_is_due_first_is_the_head_of_all_that_is_receivable(yard):
    for places in (yard.places, yard.places[:1]):
        plain = lapsing_deposits(places, yard.todays)
        due = due_first(OpenBook(places), yard.todays, MOST)
        assert due.rows == plain[:MOST]
        assert due.count == len(plain)
        assert due.late_count == sum(row.days.state == "late" for row in plain)
        assert due.at_stake == _at_stake(plain)


def _at_stake(rows):
    sums = {}
    for row in rows:
        if row.days.state == "running":
            currency, cents = row.deposit.currency, row.days.credit_cents or 0
            sums[currency] = sums.get(currency, 0) + cents
    return sums


def test_aging_counts_what_each_joined_row_would(yard):
    for as_of in (None, TODAY - timedelta(days=40)):
        for places in (yard.places, yard.places[1:]):
            found = ageing_of(places, yard.todays, as_of)
            assert [_told(one) for one in found] == _plain_ages(yard, places, as_of)


def _told(one):
    buckets = [
        {bucket.label: (bucket.count, bucket.cents) for bucket in part if bucket.count}
        for part in (one.here, one.expected)
    ]
    return one.currency, *buckets, one.disputed_count, one.disputed_cents


def _plain_ages(yard, places, as_of):
    """Age every row by itself, as it was done when each was joined in full."""
    found = {}
    for row in with_facts(open_deposits(places, as_of)):
        today = as_of or yard.todays[row.location_id]
        here, late, disputed = found.setdefault(
            row.currency, (defaultdict(list), defaultdict(list), [])
        )
        sums = sums_on(row)
        if sums.receivable:
            label = ageing.LEFT[ageing.left_bucket(_days_left(row, today))]
            here[label].append(sums.receivable)
        if sums.expected:
            label = ageing.OVERDUE[ageing.overdue_bucket(memo_due_on(row), today)]
            late[label].append(sums.expected)
        if sums.disputed:
            disputed.append(sums.disputed)
    return [
        (
            currency,
            *(
                {label: (len(cents), sum(cents)) for label, cents in part.items()}
                for part in (here, late)
            ),
            len(disputed),
            sum(disputed),
        )
        for currency, (here, late, disputed) in found.items()
    ]


def _days_left(row, today):
    terms = terms_of(row)
    if terms is None:
        return None
    try:
        return days_left_to_full(terms, facts_of(row, today), today)
    except DepositError:
        return None


def _uncharged(places):
    live = Deposit.objects.filter(crate=OuterRef("pk"), is_withdrawn=False)
    rows = Crate.objects.filter(
        Q(crate_type=None) | Q(crate_type__kept_by="mark"),
        ~Exists(live),
        shipment__location__in=places,
        kind="reusable",
        state__in=ON_HAND,
        delivery__arrived_on__lt=TODAY - timedelta(days=INVOICE_DAYS),
    )
    found = rows.exclude(look="refused").order_by("delivery__arrived_on", "pk")
    assert found or len(places) == 1, "no crate lacks its charge: nothing is compared"
    return list(found)


def test_what_does_not_match_is_found_in_the_open_book(yard):
    for places in (yard.places, yard.places[:1]):
        book = OpenBook(places)
        standing = Deposit.objects.filter(
            standing_in(RECEIVABLE), location__in=places, is_withdrawn=False
        )
        loose = standing.filter(crate=None).exclude(crate_type__kept_by="count")
        assert sorted(book.loose()) == sorted(loose_at(places))
        assert list(crates_without_charge(book, places, TODAY)) == _uncharged(places)
        found = charged_without_crate(book.loose())
        assert list(found) == list(loose.order_by("invoiced_on", "pk"))
        refused = standing.filter(crate__look="refused")
        assert set(refused) <= set(charged_though_refused(book))
        for row in set(charged_though_refused(book)) - set(refused):
            assert row.crate is None
            assert row.mark
