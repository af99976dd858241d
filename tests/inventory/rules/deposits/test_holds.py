"""A packaging hold costs credit, unless the supplier stopped the clock."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from inventory.rules.deposits.credit import (
    Facts,
    Terms,
    credit_on,
    days_left_to_full,
    last_day,
    last_full_day,
)
from tests.amounts import usd

START = dt.date(2026, 1, 10)
STEPS = Terms(
    "receipt",
    "pick-up",
    90,
    decline="steps",
    steps=((90, Decimal(75)), (120, Decimal(50))),
    ends_day=180,
)


def day(count):
    return START + dt.timedelta(days=count)


def crate(**more):
    return Facts(usd(40000), received_on=START, **more)


def test_a_hold_is_a_disputable_part_of_the_late_loss():
    held = {"held_from": day(50), "held_to": day(70)}
    found = credit_on(STEPS, crate(leaves_on=day(130), **held))
    assert (found.late_loss, found.hold_loss) == (usd(20000), usd(10000))
    assert any(
        "USD 100.00 of the late loss is due to the hold" in s for s in found.steps
    )


@pytest.mark.parametrize(
    ("held_from", "held_to", "leaves", "loss"),
    [
        (80, 89, 90, 0),  # in time all the same
        (89, 92, 92, 10000),  # three held days made it late
        (91, 99, 100, 0),  # was late before the hold began, by steps
        (-5, 1, 91, 10000),  # only the day after the start counts
        (-5, 0, 91, 0),
        (91, None, 91, 0),  # nothing held before it left
        (90, None, 91, 10000),
        (100, 120, 95, 0),  # held after it left: no held day
    ],
)
def test_only_held_days_between_start_and_pickup_make_hold_loss(
    held_from, held_to, leaves, loss
):
    ends = None if held_to is None else day(held_to)
    facts = crate(leaves_on=day(leaves), held_from=day(held_from), held_to=ends)
    assert credit_on(STEPS, facts).hold_loss == usd(loss)


def test_a_stopped_clock_moves_every_last_day_by_the_hold():
    held = crate(held_from=day(50), held_to=day(70), is_clock_stopped=True)
    assert last_full_day(STEPS, held) == day(110)
    assert last_day(STEPS, held) == day(200)
    on_time = credit_on(STEPS, replace(held, leaves_on=day(110)))
    assert (on_time.days_out, on_time.credited) == (90, usd(40000))
    late = credit_on(STEPS, replace(held, leaves_on=day(111)))
    assert (late.credited, late.hold_loss) == (usd(30000), usd(0))


def test_there_is_no_last_day_while_the_clock_stands_still():
    held = crate(held_from=day(90), is_clock_stopped=True)
    assert last_full_day(STEPS, held) is None
    assert days_left_to_full(STEPS, held, day(95)) is None
    assert credit_on(STEPS, replace(held, leaves_on=day(500))).credited == usd(40000)
    late = crate(held_from=day(91), is_clock_stopped=True)
    assert last_full_day(STEPS, late) == day(90)


def test_no_day_on_the_road_is_a_held_day():
    terms = replace(STEPS, clock_stops="receipt", transit_days=9)
    held = crate(leaves_on=day(88), held_from=day(80), is_clock_stopped=True)
    assert credit_on(terms, held).days_out == 97 - 8


def test_no_day_after_an_earlier_bill_is_a_held_day():
    terms = replace(STEPS, clock_stops="bill-date")
    held = crate(
        leaves_on=day(88), bill_on=day(84), held_from=day(80), is_clock_stopped=True
    )
    assert credit_on(terms, held).days_out == 84 - 4


@pytest.mark.parametrize("ends", [50, -3])
def test_a_hold_of_no_day_moves_no_last_day(ends):
    # Released on its own day; and held and released before the clock started.
    held = crate(held_from=day(ends), held_to=day(ends), is_clock_stopped=True)
    assert last_full_day(STEPS, held) == day(90)


def test_the_steps_say_what_the_hold_did():
    held = {"held_from": day(50), "held_to": day(70)}
    stopped = credit_on(STEPS, crate(leaves_on=day(100), is_clock_stopped=True, **held))
    says = "20 days on hold not counted: the supplier stopped the clock."
    assert says in stopped.steps
    assert says not in credit_on(STEPS, crate(leaves_on=day(100), **held)).steps
    # Straight from day 90 to day 180: after 120 days two thirds are left.
    straight = Terms("receipt", "pick-up", 90, decline="straight", ends_day=180)
    words = " ".join(credit_on(straight, crate(leaves_on=day(140), **held)).steps)
    assert "120 days would have earned 66.6667 percent." in words
