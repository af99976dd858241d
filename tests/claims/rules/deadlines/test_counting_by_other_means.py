"""Deadlines in general: properties, and the main clocks counted a second way."""

import datetime as dt
import random
from dataclasses import replace

import holidays
import numpy as np
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from claims.rules.deadlines.counting import calendar_for, deadlines_for
from claims.rules.deadlines.facts import Facts
from claims.rules.regimes import REGIMES
from claims.rules.regimes.records import LOSSES
from inventory.rules.reckoning.calendars import is_business_day

US = holidays.country_holidays("US", years=range(2000, 2100))
US_DAYS = np.array(sorted(US), dtype="datetime64[D]")
NONE = np.array([], dtype="datetime64[D]")
CASES = 2_000

DAYS = st.dates(dt.date(2010, 1, 1), dt.date(2090, 12, 31))
WITH_TABLES = [key for key, regime in REGIMES.items() if regime.records]


@st.composite
def some_facts(draw):
    delivered = draw(DAYS)
    gap = st.integers(0, 400).map(lambda days: dt.timedelta(days=days))
    received = delivered + draw(gap)
    return Facts(
        regime=draw(st.sampled_from(WITH_TABLES)),
        loss=draw(st.sampled_from(LOSSES)),
        is_concealed=draw(st.sampled_from([True, False, None])),
        bill_on=delivered - draw(gap),
        taken_over_on=delivered - draw(gap),
        delivered_on=delivered,
        agreed_delivery_on=delivered - draw(gap),
        claim_received_on=received,
        disallowed_on=draw(st.none() | gap.map(lambda step: received + step)),
        is_through_bill=draw(st.booleans()),
        calendar=draw(st.sampled_from([None, "US", "CA-ON", "DE-BY"])),
    )


@given(some_facts())
def test_the_safe_day_is_a_business_day_no_later_than_the_due_day(facts):
    calendar = calendar_for(facts)
    for each in deadlines_for(facts):
        assert each.safe <= each.due
        assert is_business_day(each.safe, calendar) or each.safe <= each.starts_on


@given(some_facts())
def test_every_duty_has_its_steps_its_authority_and_no_twin(facts):
    found = deadlines_for(facts)
    assert all(each.counted and each.authority for each in found)
    assert len({each.duty for each in found}) == len(found)


@given(some_facts(), st.integers(1, 30))
def test_everything_a_week_later_is_due_no_earlier(facts, days):
    step = dt.timedelta(days=days)
    moved = replace(
        facts,
        bill_on=max(facts.bill_on, dt.date(2016, 8, 13)) + step,
        taken_over_on=facts.taken_over_on + step,
        delivered_on=facts.delivered_on + step,
        agreed_delivery_on=facts.agreed_delivery_on + step,
    )
    still = replace(facts, bill_on=max(facts.bill_on, dt.date(2016, 8, 13)))
    later = {each.duty: each.due for each in deadlines_for(moved)}
    for each in deadlines_for(still):
        is_shifted = each.standing == "suspended" or "written claim" in str(
            each.counted
        )
        if each.duty in later and not is_shifted:
            assert later[each.duty] >= each.due


def back(day, start):
    """Go back to a business day with numpy, though not before the start."""
    found = np.busday_offset(day, 0, roll="backward", holidays=US_DAYS).item()
    return max(found, start)


def by_other_means(facts):
    """Count the US motor clocks again, from the words of the rules alone."""
    delivered, bill = facts.delivered_on, facts.bill_on
    found = {}
    if facts.is_concealed:
        if bill < dt.date(2015, 4, 18):
            due = earliest = delivered + dt.timedelta(days=15)
        else:
            due = np.busday_offset(
                delivered, 5, roll="backward", holidays=US_DAYS
            ).item()
            earliest = np.busday_offset(
                delivered, 5, roll="backward", holidays=NONE
            ).item()
        found["concealed-notice"] = (due, back(earliest, delivered))
    start = min(delivered, bill) if facts.loss == "shortage" else delivered
    due = start + relativedelta(months=9)
    found["claim"] = (due, back(due, start))
    received = facts.claim_received_on
    for duty, days in [("acknowledgement", 30), ("disposition", 120)]:
        due = received + dt.timedelta(days=days)
        found[duty] = (due, back(due, received))
    due = facts.disallowed_on + relativedelta(years=2)
    found["suit"] = (due, back(due, facts.disallowed_on))
    return found


def a_case(source):
    delivered = dt.date(2012, 1, 1) + dt.timedelta(days=source.randrange(22_000))
    received = delivered + dt.timedelta(days=source.randrange(300))
    return Facts(
        regime="us-motor",
        loss=source.choice(["damage", "shortage"]),
        is_concealed=source.random() < 0.7,
        bill_on=delivered - dt.timedelta(days=source.randrange(60)),
        delivered_on=delivered,
        claim_received_on=received,
        disallowed_on=received + dt.timedelta(days=source.randrange(400)),
    )


@pytest.mark.slow
def test_the_us_motor_clocks_agree_with_a_second_count():
    source = random.Random(1906)
    differing = []
    for _ in range(CASES):
        facts = a_case(source)
        ours = {each.duty: (each.due, each.safe) for each in deadlines_for(facts)}
        for duty, theirs in by_other_means(facts).items():
            if ours[duty] != theirs:
                differing.append((facts, duty, ours[duty], theirs))
    assert differing == []
