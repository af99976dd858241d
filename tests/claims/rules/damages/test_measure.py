"""The measure of damages, article by article, and what is left out of it."""

import datetime as dt
from decimal import Decimal

import pytest

from claims.rules.damages.facts import DamagesError, Freight, LossLine
from claims.rules.damages.freight import freight_we_bore
from claims.rules.damages.interest import interest_on
from claims.rules.damages.limits import LimitTerms
from claims.rules.damages.measure import measure_damages
from claims.rules.damages.outcomes import OutcomeFacts, advise_outcome
from inventory.rules.reckoning.measures import Mass


def kg(figure):
    return Mass(Decimal(figure), "kg")


def loss(outcome="repair", value=400000, **more):
    return LossLine(
        **{"label": "mower", "outcome": outcome, "value_cents": value, **more}
    )


def work(*lines, basis="invoice", currency="USD", freight=None, **terms):
    return measure_damages(
        lines,
        basis=basis,
        currency=currency,
        freight=freight,
        terms=LimitTerms(**terms) if terms else None,
    )


def repair(**more):
    return loss(article="SN 1", repair_cents=150000, salvage_cents=50000, **more)


def test_three_repairs_on_one_machine_claim_its_value_less_salvage():
    sheet = work(repair(), repair(), repair())
    assert sheet.claimed_cents == 350000
    assert [line.loss_cents for line in sheet.lines] == [116667, 116667, 116666]


def test_salvage_stated_on_one_line_counts_for_the_article():
    first = loss(article="SN 1", repair_cents=150000, salvage_cents=50000)
    other = loss(article="SN 1", repair_cents=150000)
    assert work(first, other, other).claimed_cents == 350000


def test_lines_without_an_article_are_capped_alone():
    one = loss(repair_cents=150000)
    assert work(one, one, one).claimed_cents == 450000


def test_a_total_loss_is_value_less_salvage():
    assert work(loss("total", salvage_cents=50000)).claimed_cents == 350000


def test_the_repair_price_of_a_total_loss_is_not_added():
    assert work(loss("total", repair_cents=90000)).claimed_cents == 400000


def test_a_machine_sold_as_is_loses_value_less_proceeds():
    assert work(loss("as-is", proceeds_cents=310000)).claimed_cents == 90000


def test_a_machine_sold_above_its_value_has_no_loss():
    assert work(loss("as-is", proceeds_cents=500000)).claimed_cents == 0


def test_repairs_and_remaining_loss_are_summed_then_capped():
    fixed = loss(article="SN 1", repair_cents=60000)
    sold = loss("as-is", article="SN 1", proceeds_cents=350000)
    assert work(fixed, sold).claimed_cents == 50000
    sold_low = loss("as-is", article="SN 1", proceeds_cents=100000)
    assert work(fixed, sold_low).claimed_cents == 300000


def test_the_greater_of_salvage_and_proceeds_is_taken_once():
    sold = loss("total", salvage_cents=50000, proceeds_cents=70000)
    assert work(sold).claimed_cents == 330000


def test_a_missing_part_counts_its_own_value_within_the_machines():
    part = loss("short", 30000, article="SN 1")
    assert work(repair(), part).claimed_cents == 180000
    assert work(repair(), repair(), part, repair()).claimed_cents == 350000


def test_money_spent_to_keep_the_loss_down_comes_on_top():
    sheet = work(loss("total", salvage_cents=50000, mitigation_cents=1250))
    assert sheet.claimed_cents == 351250


def test_what_was_recovered_never_lowers_the_claim():
    sheet = work(loss("total", recovered_cents=450000))
    assert (sheet.claimed_cents, sheet.expected_cents) == (400000, 400000)
    assert (sheet.recovered_cents, sheet.balance_cents) == (450000, -50000)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ((repair(), loss("repair", 500000, article="SN 1")), "different values"),
        (
            (repair(), loss(article="SN 1", salvage_cents=1)),
            "different amounts as its salvage",
        ),
        ((loss(proceeds_cents=5),), "proceeds need an article"),
        (
            (repair(mass=kg(5)), repair(mass=kg(6))),
            "different weights",
        ),
        ((), "at least one line"),
    ],
)
def test_lines_that_contradict_each_other_are_refused(lines, says):
    with pytest.raises(DamagesError, match=says):
        work(*lines)


@pytest.mark.parametrize("field", ["value_cents", "repair_cents", "recovered_cents"])
def test_no_amount_is_below_zero(field):
    with pytest.raises(DamagesError, match="less than zero"):
        LossLine(**{"label": "x", "outcome": "total", "value_cents": 1, field: -1})


# Freight


def test_freight_goes_to_lost_goods_by_weight_and_never_to_repairs():
    sheet = work(
        loss("total", mass=kg(300)),
        loss("repair", repair_cents=10000, mass=kg(300)),
        freight=Freight(100000, kg(1000)),
    )
    assert [line.loss_cents for line in sheet.lines] == [430000, 10000]
    assert sheet.freight_cents == 30000


def test_market_value_here_already_holds_the_freight():
    lost = loss("total", mass=kg(300))
    sheet = work(lost, basis="destination", freight=Freight(100000, kg(1000)))
    assert sheet.claimed_cents == 400000


def test_repairs_alone_bear_no_freight():
    sheet = work(
        loss(repair_cents=10000, mass=kg(300)), freight=Freight(100000, kg(300))
    )
    assert sheet.claimed_cents == 10000


def test_freight_of_a_machine_with_several_lines_is_counted_once():
    lost = loss("total", article="SN 1", mass=kg(500))
    sheet = work(lost, lost, freight=Freight(100000, kg(1000)))
    assert (sheet.claimed_cents, sheet.freight_cents) == (450000, 50000)


def test_freight_is_never_more_than_was_borne():
    sheet = work(loss("total", mass=kg(1200)), freight=Freight(100000, kg(1000)))
    assert sheet.freight_cents == 100000


def test_freight_waits_for_the_weights_where_only_part_was_lost():
    sheet = work(loss("total"), loss(repair_cents=1), freight=Freight(100000, kg(1000)))
    assert sheet.freight_cents == 0
    assert any("weight is missing" in step.text for step in sheet.steps)


def test_a_shipment_lost_as_a_whole_brings_all_its_freight():
    assert work(loss("total"), freight=Freight(100000)).claimed_cents == 500000


def test_cmr_refunds_freight_of_damage_in_proportion_to_the_loss():
    sheet = work(
        loss(repair_cents=100000, mass=kg(500)),
        currency="EUR",
        freight=Freight(20000, kg(1000)),
        regime="cmr",
    )
    # A quarter of the value on half of the weight: an eighth of the freight.
    assert sheet.freight_cents == 2500


@pytest.mark.parametrize(
    ("payer", "charge", "stated", "bore"),
    [
        ("prepaid", 50000, None, 0),
        ("prepaid", 50000, 50000, 0),
        ("prepaid-billed", 50000, 42000, 42000),
        ("prepaid-billed", 50000, None, None),
        ("collect", 50000, None, 50000),
        ("unknown", 50000, None, None),
    ],
)
def test_freight_the_supplier_paid_is_nothing_of_ours(payer, charge, stated, bore):
    assert freight_we_bore(payer, charge_cents=charge, stated_cents=stated) == bore


# Outcome, interest


def test_a_safety_part_is_never_set_to_repair_by_price():
    facts = OutcomeFacts(400000, 1000, has_safety_part=True)
    advice = advise_outcome(facts)
    assert advice.outcome == ""
    assert "repair" not in advice.allowed


@pytest.mark.parametrize("basis", ["replacement", "instruction"])
def test_a_safety_part_that_is_settled_may_be_repaired(basis):
    facts = OutcomeFacts(400000, 1000, has_safety_part=True, safety_basis=basis)
    assert advise_outcome(facts).outcome == "repair"


def test_a_condemned_unit_is_total_and_stays_out_of_use():
    advice = advise_outcome(OutcomeFacts(400000, 1000, condemned=True))
    assert advice.allowed == ("total",)
    assert any("must not return it to use" in reason for reason in advice.reasons)


def test_price_decides_between_repair_and_total():
    assert advise_outcome(OutcomeFacts(400000, 349999, 50000)).outcome == "repair"
    assert advise_outcome(OutcomeFacts(400000, 350000, 50000)).outcome == "total"


def test_cmr_gives_five_percent_from_the_day_the_claim_was_sent():
    found = interest_on(
        100000,
        regime="cmr",
        sent_on=dt.date(2026, 1, 1),
        until=dt.date(2027, 1, 1),
    )
    assert (found.cents, found.days) == (5000, 365)


def test_us_motor_carriage_gives_no_interest():
    day = dt.date(2026, 1, 1)
    found = interest_on(100000, regime="us-motor", sent_on=day, until=day)
    assert found.cents == 0


def test_interest_never_runs_backward():
    with pytest.raises(ValueError, match="forward"):
        interest_on(
            1, regime="cmr", sent_on=dt.date(2026, 1, 2), until=dt.date(2026, 1, 1)
        )


def test_interest_is_counted_to_the_cent_by_a_year_of_365_days():
    # 1,000,000.00 x 5 % x 73 / 365 is 10,000.00.
    found = interest_on(
        100_000_000,
        regime="cim",
        sent_on=dt.date(2026, 1, 1),
        until=dt.date(2026, 3, 15),
    )
    assert (found.cents, found.days) == (1_000_000, 73)
    assert (
        interest_on(
            0, regime="cmr", sent_on=dt.date(2026, 1, 1), until=dt.date(2026, 1, 1)
        ).cents
        == 0
    )
    with pytest.raises(ValueError, match="on an amount owed"):
        interest_on(
            -1, regime="cmr", sent_on=dt.date(2026, 1, 1), until=dt.date(2026, 1, 1)
        )


# The sentences of a sheet, with their figures


def told(sheet):
    return [(step.text, step.cents) for line in sheet.lines for step in line.steps]


def test_a_capped_line_says_the_sum_the_worth_and_its_share():
    sheet = work(repair(), repair(), repair())
    assert told(sheet)[1:3] == [
        (
            "The losses on SN 1 total 4,500.00, but it is worth 4,000.00 less salvage "
            "500.00: no more than 3,500.00",
            None,
        ),
        ("This line's share of 3,500.00", 116667),
    ]


def test_a_residue_above_the_value_takes_off_the_value_and_no_more():
    sheet = work(loss("as-is", proceeds_cents=500000))
    assert ("less sale price", -400000) in told(sheet)


def test_an_article_named_like_a_place_is_no_other_line():
    named = loss("short", 100, article="1", label="bolt")
    bare = loss("short", 200, label="pin")
    assert work(named, bare).claimed_cents == 300
