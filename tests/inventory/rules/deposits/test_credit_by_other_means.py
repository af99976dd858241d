"""Laws every credit obeys, and the same credits found day by day instead."""

import datetime as dt
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.deposits.credit import (
    DECLINES,
    STOPS,
    Facts,
    PartLoss,
    Terms,
    credit_by_day,
    credit_on,
    last_day,
    last_full_day,
)
from tests.amounts import usd

START = dt.date(2027, 12, 20)
CEILINGS = st.decimals(0, 100, places=2)
PERCENTS = st.decimals(0, Decimal("99.99"), places=2)


@st.composite
def terms(draw):
    decline = draw(st.sampled_from(DECLINES))
    full = draw(st.integers(0, 40))
    percents = sorted(draw(st.lists(PERCENTS, min_size=1, max_size=4)), reverse=True)
    gaps = draw(st.lists(st.integers(1, 20), min_size=len(percents), max_size=4))
    days = [full + sum(gaps[:n]) for n in range(len(percents))]
    ends = {
        "none": None,
        "steps": draw(st.none() | st.integers(days[-1] + 1, days[-1] + 30)),
        "straight": full + draw(st.integers(1, 60)),
    }[decline]
    return Terms(
        clock_starts="receipt",
        clock_stops=draw(st.sampled_from(STOPS)),
        full_days=full,
        includes_last_day=draw(st.booleans()),
        decline=decline,
        steps=tuple(zip(days, percents, strict=True)) if decline == "steps" else (),
        ends_day=ends,
        ceiling=draw(st.none() | CEILINGS),
        transit_days=draw(st.integers(0, 9)),
        unloading_days=draw(st.integers(0, 3)),
    )


@st.composite
def crates(draw):
    held_from = draw(st.none() | st.integers(-9, 90))
    held_for = draw(st.none() | st.integers(0, 60))
    part = st.builds(
        PartLoss,
        st.just("panel"),
        st.sampled_from(["missing", "damaged"]),
        st.builds(usd, st.integers(0, 9999)),
        st.integers(0, 3),
    )
    is_held = held_from is not None
    first = START + dt.timedelta(days=held_from or 0)
    return Facts(
        deposit=usd(draw(st.integers(0, 99999))),
        received_on=START,
        leaves_on=START + dt.timedelta(days=draw(st.integers(0, 150))),
        parts=tuple(draw(st.lists(part, max_size=3))),
        held_from=first if is_held else None,
        held_to=first + dt.timedelta(days=held_for)
        if is_held and held_for is not None
        else None,
        is_clock_stopped=draw(st.booleans()),
    )


@given(terms(), crates())
def test_no_cent_is_lost_or_made(terms, facts):
    found = credit_on(terms, facts)
    whole = found.credited + found.late_loss + found.deductions
    assert whole == facts.deposit
    zero = usd(0)
    assert zero <= found.credited <= facts.deposit
    assert zero <= found.deductions
    assert zero <= found.hold_loss <= found.late_loss
    if terms.ceiling is not None:
        most = facts.deposit.amount * terms.ceiling / 100
        assert found.deductions.amount <= most.quantize(Decimal("0.01"), ROUND_HALF_UP)


@given(terms(), crates())
def test_waiting_never_pays(terms, facts):
    table = credit_by_day(terms, facts, START, START + dt.timedelta(days=150))
    assert all(later <= earlier for earlier, later in pairwise(table))


@given(terms(), crates())
def test_the_last_days_are_where_the_table_turns(terms, facts):
    bare = replace(facts, deposit=usd(10**9), parts=())
    end = START + dt.timedelta(days=260)
    table = credit_by_day(terms, bare, START, end)
    for last, least in (
        (last_full_day(terms, bare), 10**9),
        (last_day(terms, bare), 1),
    ):
        good = [
            START + dt.timedelta(days=n)
            for n, each in enumerate(table)
            if each.cents >= least
        ]
        if last is None:
            assert good[-1] == end or not good
        elif good:
            assert good[-1] == min(last, end)
        else:
            assert last < START


def credit_by_walking(terms, facts):
    """Walk from day 0 to the stop, one day at a time, and look the share up."""
    road = terms.transit_days + terms.unloading_days
    stop = facts.leaves_on
    if terms.clock_stops == "receipt":
        stop += dt.timedelta(days=road)
    out, today = 0, facts.received_on
    while today < stop:
        is_held = (
            facts.held_from is not None
            and facts.held_from <= today < (facts.held_to or dt.date.max)
            and today < facts.leaves_on
        )
        out += 0 if is_held and facts.is_clock_stopped else 1
        today += dt.timedelta(days=1)
    bound = out if terms.includes_last_day else out + 1
    if bound <= terms.full_days:
        return Decimal(100)
    if terms.decline == "none":
        return Decimal(0)
    if terms.decline == "straight":
        first = terms.full_days - (0 if terms.includes_last_day else 1)
        return max(
            Decimal(0), Decimal(100) * (terms.ends_day - out) / (terms.ends_day - first)
        )
    if terms.ends_day is not None and bound > terms.ends_day:
        return Decimal(0)
    return [percent for after, percent in terms.steps if bound > after][-1]


@given(terms(), crates())
def test_walking_day_by_day_finds_the_same_percent(terms, facts):
    expected = credit_by_walking(terms, facts).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert credit_on(terms, facts).percent == expected
