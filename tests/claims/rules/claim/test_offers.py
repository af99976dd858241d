"""An offer judged: each figure by hand, and what holds for every offer."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from claims.rules.claim.going_on import court_cents, outcomes, waiting_cents
from claims.rules.claim.offer_facts import (
    FEWEST,
    Costs,
    OfferFacts,
    PastClaim,
    middle_percent,
)
from claims.rules.claim.offers import judge_offer
from claims.rules.letters.claim_letter import Period

TODAY = date(2026, 11, 26)


def past(*shares, on=date(2026, 3, 1)):
    """Return claims of 1,000.00 of which so many percent were paid."""
    return tuple(PastClaim(on, 100_000, share * 1_000) for share in shares)


# The drawn claim: 1,848.40 claimed, 388.00 paid, 980.00 offered; received on July 9,
# offered on November 16.
FACTS = OfferFacts(
    currency="USD",
    regime="us-motor",
    today=TODAY,
    offered_cents=98_000,
    claimed_cents=184_840,
    expected_cents=184_840,
    paid_cents=38_800,
    offered_on=date(2026, 11, 16),
    received_on=date(2026, 7, 9),
    answer=Period(120, "49 CFR 370.9(a)"),
    past=past(60, 70, 75, 80, 81, 85, 90, 95, 100),
    costs=Costs(
        limit_cents=650_000,
        limit_source="The court's page",
        filing_cents=9_500,
        serving_cents=7_000,
        lawyer_cents=250_000,
    ),
)


def row(key, **over):
    return judge_offer(replace(FACTS, **over)).rows[key]


def nets(**over):
    return {one.key: one.net_cents for one in outcomes(replace(FACTS, **over))}


class TestFigures:
    def test_the_balance_is_the_claim_less_what_was_paid(self):
        # 1,848.40 - 388.00 = 1,460.40; 980.00 / 1,460.40 = 67.1 percent.
        assert row("balance").figure == "67%"
        assert row("balance").basis == "$980.00 of $1,460.40"

    def test_an_offer_above_what_is_open_asks_whether_it_was_paid(self):
        # 1,848.40 - 980.00 = 868.40, less than the 980.00 that were offered and came.
        asked = row("balance", paid_cents=98_000).basis
        assert asked == "$980.00 of $868.40. Is the $980.00 paid this offer's money?"
        assert "?" not in row("balance").basis
        assert "?" not in row("balance", paid_cents=0, offered_cents=200_000).basis

    def test_what_the_supplier_credited_makes_the_balance_smaller(self):
        # 1,460.40 - 60.40 = 1,400.00, and 980.00 is 70 percent of that.
        found = row("balance", gone_cents=6_040)
        assert found.figure == "70%"
        assert found.basis == (
            "$980.00 of $1,400.00, after $60.40 credited by the supplier"
        )

    def test_the_most_that_can_come_is_under_the_limit(self):
        # A limit of 1,500.00, of which 388.00 is paid, leaves 1,112.00.
        limited = {"expected_cents": 150_000, "limit_cents": 150_000}
        assert row("loss").figure == "$1,460.40"
        assert row("loss", **limited).figure == "$1,112.00"
        assert row("loss", **limited).basis == (
            "Claimed $1,848.40, under the limit $1,500.00, less paid $388.00"
        )

    def test_an_offer_above_the_limit_is_said_to_be(self):
        limited = {"expected_cents": 130_000, "limit_cents": 130_000}
        assert row("limit", **limited).basis.startswith("The offer is above")
        limited = {"expected_cents": 136_800, "limit_cents": 136_800}
        assert row("limit", **limited).basis == "A ceiling, never a ratio"

    def test_without_a_limit_that_is_said(self):
        assert row("limit").figure == "none known"
        assert "14706(c)(1)(A)" in row("limit").cite
        assert row("limit", regime="cmr").cite == ""

    def test_the_middle_of_nine_is_the_fifth(self):
        # The fifth of nine is 81 percent; of 1,460.40 that is 1,182.92.
        assert row("past").figure == "81%"
        assert row("past").basis == "9 claims in 24 months; $1,182.92 on this balance"

    def test_the_middle_of_six_is_between_the_third_and_the_fourth(self):
        assert middle_percent(past(10, 20, 30, 41, 90, 100), TODAY) == (36, 6)

    def test_too_few_say_nothing(self):
        found = row("past", past=past(60, 70, 80, 90))
        assert found.figure == "too few"
        assert found.basis == "4 claims in 24 months, and fewer than 5 say nothing"
        assert FEWEST == 5

    def test_only_claims_that_ended_in_the_last_24_months_count(self):
        old = past(0, on=date(2024, 11, 25))
        edge = past(0, on=date(2024, 11, 26))
        ahead = past(0, on=date(2026, 11, 27))
        assert middle_percent((*old, *edge, *ahead), TODAY) == (None, 1)

    def test_a_claim_paid_above_its_amount_counts_as_paid(self):
        rows = (*past(50, 50, 50, 50), PastClaim(TODAY, 100, 900))
        assert middle_percent(rows, TODAY)[0] == 50
        assert PastClaim(TODAY, 100, 900).share == 1

    def test_the_days_run_from_the_carriers_receipt(self):
        # July 9 to November 26 are 22 + 31 + 30 + 31 + 26 = 140 days.
        assert row("days").figure == "140"
        assert row("days").basis == (
            "Offer came on day 130; 120 is the period for an answer"
        )
        assert row("days").cite.startswith("49 CFR 370.9(a)")

    def test_rules_without_a_period_name_none(self):
        assert row("days", answer=None).basis.endswith(
            "no period for an answer is known"
        )
        assert row("days", answer=None).cite == ""
        assert "days" not in judge_offer(replace(FACTS, received_on=None)).rows

    def test_within_the_small_claims_limit_no_lawyer_is_counted(self):
        # 95.00 + 70.00.
        assert row("cost").figure == "$165.00"
        assert row("cost").basis == (
            "Filing $95.00, serving $70.00; within small claims, $6,500.00"
        )
        assert "The court's page" in row("cost").cite

    def test_above_the_limit_or_without_one_the_lawyer_is_counted(self):
        # 95.00 + 70.00 + 2,500.00.
        low = replace(FACTS.costs, limit_cents=146_039)
        assert row("cost", costs=low).figure == "$2,665.00"
        assert "above small claims, $1,460.39" in row("cost", costs=low).basis
        exact = replace(FACTS.costs, limit_cents=146_040)
        assert row("cost", costs=exact).figure == "$165.00"
        unknown = replace(FACTS.costs, limit_cents=None, limit_source="")
        assert row("cost", costs=unknown).figure == "$2,665.00"

    def test_nothing_entered_is_said_and_not_counted_as_nothing(self):
        found = row("cost", costs=Costs())
        assert found.figure == "not entered"
        assert judge_offer(replace(FACTS, costs=Costs())).missing == (
            "small-claims limit",
            "filing",
            "serving",
            "lawyer",
            "time value",
            "months to a decision",
        )

    def test_time_value_is_simple_and_by_the_month(self):
        # 6 percent of 1,460.40 for ten months: 1,460.40 * 0.06 * 10 / 12 = 73.02.
        slow = replace(FACTS.costs, yearly_percent=Decimal("6.00"), months=10)
        assert waiting_cents(146_040, slow) == 7_302
        assert row("waiting", costs=slow).figure == "$73.02"
        assert "not asked of the carrier" in row("waiting", costs=slow).cite
        assert "waiting" not in judge_offer(FACTS).rows


class TestOutcomes:
    def test_each_way_is_what_comes_less_its_costs(self):
        assert nets() == {
            "accept": 98_000,
            "all": 129_540,  # 1,460.40 - 165.00
            "middle": 101_792,  # 1,182.92 - 165.00
            "nothing": -16_500,
        }

    def test_the_middle_value_is_under_the_limit_too(self):
        # 81 percent would be 1,182.92; 1,500.00 less 388.00 paid leaves 1,112.00.
        assert nets(expected_cents=150_000, limit_cents=150_000)["middle"] == 94_700

    def test_too_few_claims_leave_out_the_middle_value(self):
        assert set(nets(past=())) == {"accept", "all", "nothing"}

    def test_time_value_is_taken_from_what_comes(self):
        # 1,460.40 - 165.00 - 73.02, as above.
        slow = replace(FACTS.costs, yearly_percent=Decimal(6), months=10)
        assert nets(costs=slow)["all"] == 122_238

    def test_the_even_point_is_the_offer_and_the_costs(self):
        # 980.00 + 165.00 = 1,145.00.
        assert judge_offer(FACTS).even == (
            "Going on leaves as much as accepting once $1,145.00 of $1,460.40 comes."
        )

    def test_the_even_point_is_rounded_up_with_time_value(self):
        # 1,145.00 / (1 - 0.06 * 10 / 12) = 1,145.00 / 0.95 = 1,205.2631...
        slow = replace(FACTS.costs, yearly_percent=Decimal(6), months=10)
        assert "once $1,205.27 of" in judge_offer(replace(FACTS, costs=slow)).even

    def test_an_offer_that_going_on_cannot_reach_is_said_to_be(self):
        said = judge_offer(replace(FACTS, offered_cents=129_541)).even
        assert said.startswith("Going on leaves less than accepting, even where all")
        last = judge_offer(replace(FACTS, offered_cents=129_540)).even
        assert "once $1,460.40 of $1,460.40" in last

    def test_time_value_that_takes_all_has_no_even_point(self):
        slow = Costs(yearly_percent=Decimal(100), months=12)
        said = judge_offer(replace(FACTS, costs=slow)).even
        assert said.startswith("Going on leaves less")

    def test_it_recommends_nothing(self):
        judged = judge_offer(FACTS)
        said = " ".join(
            (judged.even, *(f"{one.label} {one.basis}" for one in judged.rows.values()))
        ).casefold()
        for words in ("should", "recommend", "advise", "better", "worth it"):
            assert words not in said


amounts = some.integers(0, 10**9)
costs = some.builds(
    Costs,
    limit_cents=some.none() | amounts,
    filing_cents=some.none() | some.integers(0, 10**6),
    serving_cents=some.none() | some.integers(0, 10**6),
    lawyer_cents=some.none() | some.integers(0, 10**7),
    yearly_percent=some.none() | some.decimals(0, 100, places=2),
    months=some.none() | some.integers(1, 120),
)
ended = some.builds(
    PastClaim,
    ended_on=some.dates(date(2024, 1, 1), date(2027, 1, 1)),
    claimed_cents=amounts,
    paid_cents=amounts,
)


@some.composite
def offers(draw):
    claimed, limit = draw(amounts), draw(some.none() | amounts)
    return replace(
        FACTS,
        currency=draw(some.sampled_from(["USD", "CAD", "EUR"])),
        offered_cents=draw(amounts),
        claimed_cents=claimed,
        expected_cents=claimed if limit is None else min(claimed, limit),
        limit_cents=limit,
        paid_cents=draw(amounts),
        gone_cents=draw(amounts),
        past=tuple(draw(some.lists(ended, max_size=12))),
        costs=draw(costs),
    )


@pytest.mark.slow
@given(offers())
def test_no_way_leaves_more_than_the_loss_or_the_limit(facts):
    judged = judge_offer(facts)
    left = max(facts.claimed_cents - facts.paid_cents - facts.gone_cents, 0)
    found = {one.key: one for one in judged.outcomes}
    assert found["accept"].net_cents <= min(facts.offered_cents, left)
    for key in {"all", "middle", "nothing"} & set(found):
        comes = found[key].parts[0].cents
        assert 0 <= comes <= left
        if facts.limit_cents is not None:
            assert comes + min(facts.paid_cents, facts.limit_cents) <= max(
                facts.limit_cents, 0
            )
        assert found[key].net_cents <= comes - court_cents(facts)
    assert found["nothing"].net_cents == -court_cents(facts)


@pytest.mark.slow
@given(offers())
def test_the_arithmetic_shown_is_the_one_that_was_done(facts):
    judged = judge_offer(facts)
    for one in judged.outcomes:
        assert sum(part.cents for part in one.parts) == one.net_cents
        assert all(part.cents < 0 for part in one.parts[1:])
    share, count = middle_percent(facts.past, facts.today)
    assert (share is None) == (count < FEWEST)
    assert share is None or 0 <= share <= 100
    assert ("middle" in {one.key for one in judged.outcomes}) == (share is not None)


@pytest.mark.slow
@given(offers())
def test_at_the_even_point_going_on_leaves_what_accepting_leaves(facts):
    judged = judge_offer(facts)
    best = {one.key: one.net_cents for one in judged.outcomes}
    # One cent of rounding of the time value at most.
    if judged.even.startswith("Going on leaves as much"):
        assert best["all"] >= best["accept"] - 1
    else:
        assert best["all"] <= best["accept"]
