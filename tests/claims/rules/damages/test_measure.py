"""The measure of damages, article by article, and what is left out of it."""

import datetime as dt
from decimal import Decimal

import pytest

from claims.rules.damages.facts import DamagesError, Freight, LossLine
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
    sheet = work(loss("total", repair_cents=90000))
    assert sheet.claimed_cents == 400000
    # Nor is it added and cut again.
    assert not any("no more than" in step.text for step in sheet.lines[0].steps)


def test_a_machine_sold_as_is_loses_value_less_proceeds():
    assert work(loss("as-is", proceeds_cents=310000)).claimed_cents == 90000


def test_a_machine_sold_above_its_value_has_no_loss():
    sheet = work(loss("as-is", proceeds_cents=500000))
    assert sheet.claimed_cents == 0
    # Not even a loss of one cent that is then cut: nothing is said about a cap.
    assert [step.text for step in sheet.lines[0].steps] == [
        "Worth",
        "less sale price",
        "Loss on this line",
    ]


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
    # Worth no more than its scrap: nothing is lost by a repair that costs nothing.
    assert advise_outcome(OutcomeFacts(400000, 0, 400000)).outcome == "total"
    assert advise_outcome(OutcomeFacts(400000, 0, 399999)).outcome == "repair"


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
            "The losses on SN 1 total $4,500.00, but it is worth $4,000.00 less salvage "
            "$500.00: no more than $3,500.00",
            None,
        ),
        ("This line's share of $3,500.00", 116667),
    ]


def test_a_residue_above_the_value_takes_off_the_value_and_no_more():
    sheet = work(loss("as-is", proceeds_cents=500000))
    assert ("less sale price", -400000) in told(sheet)


def test_an_article_named_like_a_place_is_no_other_line():
    named = loss("short", 100, article="1", label="bolt")
    bare = loss("short", 200, label="pin")
    assert work(named, bare).claimed_cents == 300


@pytest.mark.parametrize(
    ("outcome", "more", "steps"),
    [
        (
            "repair",
            {},
            [("Repair, no price given, counted as zero", 0)],
        ),
        ("repair", {"repair_cents": 900}, [("Repair", 900)]),
        ("short", {}, [("Not delivered, worth", 400000)]),
        (
            "total",
            {"repair_cents": 900, "salvage_cents": 500},
            [
                ("Total loss, worth", 400000),
                ("less salvage", -500),
                ("The repair price is not added: it is a total loss", None),
            ],
        ),
        ("total", {}, [("Total loss, worth", 400000)]),
        (
            "as-is",
            {"repair_cents": 900, "proceeds_cents": 500},
            [
                ("Worth", 400000),
                ("less sale price", -500),
                ("plus repairs made before the sale", 900),
            ],
        ),
        ("as-is", {}, [("Worth", 400000)]),
    ],
)
def test_each_outcome_says_its_steps(outcome, more, steps):
    sheet = work(loss(outcome, **more))
    total = ("Loss on this line", sheet.claimed_cents)
    lines = [line for line in told(sheet) if "less than" not in line[0]]
    assert [lines[0 : len(steps)], lines[-1]] == [steps, total]
    assert sheet.lines[0].steps[-1].is_total


def test_a_price_the_same_as_the_salvage_is_called_the_price():
    sheet = work(loss("total", salvage_cents=500, proceeds_cents=500))
    assert ("less sale price", -500) in told(sheet)


def test_an_article_sold_above_its_value_costs_its_repairs_and_no_more():
    sheet = work(loss("as-is", proceeds_cents=400000, repair_cents=900))
    assert sheet.claimed_cents == 0
    assert "no more than $0.00" in told(sheet)[3][0]


def test_the_share_of_a_capped_line_is_marked_as_a_sum():
    sheet = work(repair(), repair(), repair())
    share = [
        step for line in sheet.lines for step in line.steps if "share" in step.text
    ]
    assert [step.is_total for step in share] == [True] * 3


def test_what_comes_on_top_is_said():
    sheet = work(
        loss("total", mitigation_cents=1250, mass=kg(10)), freight=Freight(500, kg(10))
    )
    assert ("plus cost of keeping the loss down", 1250) in told(sheet)
    assert ("plus freight we paid on it", 500) in told(sheet)


def test_the_weight_of_an_article_is_that_of_what_arrived():
    bare = loss("short", 100, article="SN 1", mass=kg(5))
    whole = loss("total", article="SN 1", mass=kg(100))
    sheet = work(bare, whole, currency="EUR", regime="cmr", sdr_rate=Decimal(1))
    assert sheet.limit_sdr == Decimal(833)


def closing(sheet):
    return [(step.text, step.cents, step.is_total) for step in sheet.steps]


def test_a_sheet_closes_with_what_was_claimed_expected_and_recovered():
    sheet = work(
        loss("total", mass=kg(10), recovered_cents=100),
        loss("repair", 1000, repair_cents=200, mass=kg(5)),
        regime="us-motor",
        per_kg=Decimal(1),
    )
    assert closing(sheet) == [
        ("Claimed: all lines, the full loss", 400200, True),
        ("Released value 1.00 a kg on 15 kg, the complete articles", 1500, False),
        (
            "The loss is above the limit, so the limit is the most to expect",
            None,
            False,
        ),
        ("Expected", 1500, True),
        (
            "If the carrier limits each article separately, no more than",
            1200,
            False,
        ),
        ("less already recovered", -100, False),
        ("Balance", 1400, True),
    ]
    assert (sheet.expected_cents, sheet.expected_by_article_cents) == (1500, 1200)
    assert sheet.balance_cents == 1400


def test_a_loss_at_the_limit_is_not_above_it():
    sheet = work(loss("total", 1000, mass=kg(10)), regime="us-motor", per_kg=Decimal(1))
    assert closing(sheet)[2:] == [
        ("The loss is below the limit, so the limit changes nothing", None, False),
        ("Expected", 1000, True),
    ]
    assert work(loss("total", 1000)).steps[-1].text == "Expected"


def test_the_freight_gives_the_weight_of_the_shipment_where_the_terms_do_not():
    def ceiling(**terms):
        return work(
            loss("total", mass=kg(10)),
            currency="CAD",
            freight=Freight(0, kg(100)),
            regime="canada-road",
            **terms,
        ).limit_cents

    assert ceiling() == 44100
    assert ceiling(shipment_mass=kg(50)) == 22050


# Freight, to the cent


def freight_of(*lines, freight, **more):
    sheet = work(*lines, freight=freight, **more)
    return sheet.freight_cents, [
        step.text for step in sheet.steps if "reight" in step.text
    ]


def test_freight_says_by_what_it_was_shared():
    lost = loss("total", mass=kg(300))
    whole = "Freight we paid, for a shipment lost as a whole"
    weighed = "Freight we paid, by weight of what was lost"
    assert freight_of(lost, freight=Freight(100000, kg(1000))) == (30000, [weighed])
    assert freight_of(lost, freight=Freight(100000)) == (
        100000,
        [f"{weighed}, these lines taken to be the whole shipment"],
    )
    assert freight_of(loss("total"), loss("total"), freight=Freight(101)) == (
        101,
        [whole],
    )
    assert freight_of(lost, freight=Freight(0, kg(5))) == (0, [])
    assert freight_of(lost, freight=Freight(1, kg(300)), basis="destination") == (
        0,
        ["Freight is not added: the market value here already includes it"],
    )
    assert freight_of(loss(repair_cents=5), freight=Freight(1)) == (
        0,
        ["Freight is not added: nothing was lost, and repairs bear none"],
    )


@pytest.mark.parametrize(
    ("lines", "freight"),
    [
        # One weight of two is missing; or that of the whole shipment is nothing.
        ([loss("total"), loss("total", mass=kg(1))], Freight(100, kg(10))),
        ([loss("total", mass=kg(1)), loss(repair_cents=1)], Freight(100)),
        ([loss("total"), loss(repair_cents=1)], Freight(100)),
        ([loss("total", mass=kg(0))], Freight(100)),
        ([loss("total")], Freight(100, kg(10))),
    ],
)
def test_freight_waits_for_a_weight(lines, freight):
    cents, words = freight_of(*lines, freight=freight)
    assert cents == 0
    assert words[0].startswith("Freight is not added: it is shared by weight")


def test_freight_stands_on_the_line_that_was_lost():
    fixed = loss(article="SN 1", repair_cents=100, mass=kg(50))
    total = loss("total", article="SN 1", mass=kg(50))
    sheet = work(fixed, total, freight=Freight(1000, kg(100)))
    on_lines = [
        any("freight" in step.text for step in line.steps) for line in sheet.lines
    ]
    assert (sheet.freight_cents, on_lines) == (500, [False, True])


def test_a_part_that_never_came_bears_the_freight_of_its_own_weight():
    part = loss("short", 100, article="SN 1", mass=kg(5))
    rest = loss(article="SN 1", repair_cents=100, mass=kg(50))
    sheet = work(rest, part, freight=Freight(1000, kg(100)))
    on_lines = [
        [step.cents for step in line.steps if "freight" in step.text]
        for line in sheet.lines
    ]
    assert on_lines == [[], [50]]
    bare = loss("short", 100, article="SN 1")
    assert work(rest, bare, freight=Freight(1000, kg(100))).freight_cents == 0


def test_where_the_weights_are_nothing_freight_is_shared_equally():
    lost = [loss("total", mass=kg(0)), loss("total", mass=kg(0))]
    sheet = work(*lost, freight=Freight(101, kg(10)))
    assert sheet.freight_cents == 0


def test_cmr_refunds_freight_in_proportion_on_each_line():
    half = loss(value=1000, repair_cents=500, mass=kg(10))
    nothing = loss(value=0, repair_cents=0, mass=kg(10))
    sheet = work(
        half, nothing, currency="EUR", freight=Freight(1000, kg(20)), regime="cmr"
    )
    assert sheet.freight_cents == 250
