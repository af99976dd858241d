"""Freight in the loss, worked by hand: whole, in part, and never on top of its value.

On a total loss what was paid, on a part its share by weight; repairs bear none, because
the carrier keeps its freight on what it delivered (GAO B-231357, text seen). Value at
destination holds the freight already (McCaull-Dinsmore, 253 U.S. 97, text seen; that paid
freight is not added twice is from memory).
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from claims.rules.damages.facts import Freight, LossLine
from claims.rules.damages.measure import measure_damages
from inventory.rules.reckoning.measures import Mass


def kg(figure):
    return Mass(Decimal(figure), "kg")


def lb(figure):
    return Mass(Decimal(figure), "lb")


def line(outcome, value, mass=None, **more):
    return LossLine(
        label=more.pop("article", "mower"),
        outcome=outcome,
        value_cents=value,
        mass=mass,
        **more,
    )


def work(*lines, freight, basis="invoice"):
    return measure_damages(lines, basis=basis, currency="USD", freight=freight)


def test_a_total_loss_claims_the_freight_as_paid():
    # One mower, invoice 4,000.00, freight paid 186.40: 4,186.40.
    sheet = work(line("total", 400_000, lb(820)), freight=Freight(18_640, lb(820)))
    assert (sheet.freight_cents, sheet.claimed_cents) == (18_640, 418_640)


def test_salvage_does_not_make_the_freight_smaller():
    # 4,000.00 less 500.00 salvage, plus 186.40.
    lost = line("total", 400_000, lb(820), salvage_cents=50_000)
    assert work(lost, freight=Freight(18_640, lb(820))).claimed_cents == 368_640


def test_one_of_three_machines_lost_claims_its_share_by_weight():
    # 820 of 2,460 lb is a third; a third of 559.20 is 186.40.
    lost = line("total", 400_000, lb(820))
    sheet = work(lost, freight=Freight(55_920, lb(2_460)))
    assert (sheet.freight_cents, sheet.claimed_cents) == (18_640, 418_640)


def test_a_share_is_rounded_to_the_nearest_cent():
    # 100.00 * 1 / 3 = 33.333..., and 100.00 * 2 / 3 = 66.666...
    third = work(line("total", 1, kg(1)), freight=Freight(10_000, kg(3)))
    two = work(line("total", 1, kg(2)), freight=Freight(10_000, kg(3)))
    assert (third.freight_cents, two.freight_cents) == (3_333, 6_667)


def test_pounds_and_kilograms_are_one_weight():
    # 1,000 lb are 453.59237 kg; of 907.18474 kg that is half.
    lost = line("total", 100_000, lb(1_000))
    sheet = work(lost, freight=Freight(20_000, kg("907.18474")))
    assert sheet.freight_cents == 10_000


def test_a_repair_beside_a_total_loss_bears_no_freight():
    # 300 of 1,000 kg were lost: 30 percent of 200.00; the repair stays 450.00.
    lost = line("total", 400_000, kg(300), article="SN 1")
    fixed = line("repair", 400_000, kg(700), article="SN 2", repair_cents=45_000)
    sheet = work(lost, fixed, freight=Freight(20_000, kg(1_000)))
    assert sheet.freight_cents == 6_000
    assert [one.loss_cents for one in sheet.lines] == [406_000, 45_000]


def test_a_machine_sold_as_is_was_delivered_and_bears_none():
    sold = line("as-is", 400_000, kg(300), proceeds_cents=310_000)
    sheet = work(sold, freight=Freight(20_000, kg(300)))
    assert (sheet.freight_cents, sheet.claimed_cents) == (0, 90_000)


def test_a_machine_that_never_came_claims_its_freight():
    # 400 of 1,000 kg: 40 percent of 250.00.
    short = line("short", 300_000, kg(400))
    sheet = work(short, freight=Freight(25_000, kg(1_000)))
    assert (sheet.freight_cents, sheet.claimed_cents) == (10_000, 310_000)


@pytest.mark.parametrize("outcome", ["total", "short"])
def test_nothing_is_added_to_a_value_at_destination(outcome):
    lost = line(outcome, 430_000, lb(820))
    sheet = work(lost, freight=Freight(18_640, lb(820)), basis="destination")
    assert (sheet.freight_cents, sheet.claimed_cents) == (0, 430_000)
    assert "already includes it" in sheet.steps[0].text


def test_the_supplier_s_freight_is_not_ours():
    # Freight that we did not bear is left out, so nothing is added.
    assert work(line("total", 400_000, lb(820)), freight=None).claimed_cents == 400_000


@pytest.mark.slow
@given(
    some.integers(0, 10**7),
    some.lists(
        some.tuples(
            some.sampled_from(["total", "short", "repair"]), some.integers(1, 999)
        ),
        min_size=1,
        max_size=6,
    ),
    some.integers(1, 9_999),
)
def test_the_lines_share_the_freight_to_the_cent_and_never_more(borne, goods, whole):
    lines = [
        line(outcome, 1_000_000, kg(mass), article=f"SN {number}", repair_cents=100)
        for number, (outcome, mass) in enumerate(goods)
    ]
    freight = Freight(borne, kg(whole))
    sheet = work(*lines, freight=freight)
    bare = work(*lines, freight=None)
    assert 0 <= sheet.freight_cents <= borne
    assert sheet.claimed_cents - bare.claimed_cents == sheet.freight_cents
    here = work(*lines, freight=freight, basis="destination")
    assert here.claimed_cents == bare.claimed_cents
