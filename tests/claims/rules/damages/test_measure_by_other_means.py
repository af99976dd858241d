"""A second worksheet, written apart from the first, over generated cases.

It works in exact fractions of major units, from the rule's words alone, and shares
no function with the house.
"""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from claims.rules.damages.facts import Freight, LossLine
from claims.rules.damages.limits import LimitTerms
from claims.rules.damages.measure import measure_damages
from inventory.rules.reckoning.measures import Mass
from tests.sizes import examples

LB = Fraction("0.45359237")


@st.composite
def claims(draw):
    """Draw articles of one to four lines, freight, and a limit."""
    lines = []
    for number in range(draw(st.integers(1, 4))):
        value = draw(st.integers(1, 10**6))
        shared = {
            "article": draw(st.sampled_from([f"SN {number}", ""])),
            "value_cents": value,
            "salvage_cents": draw(st.sampled_from([0, value // 8, value * 2])),
            "mass": Mass(
                Decimal(draw(st.integers(1, 50000))) / 10,
                draw(st.sampled_from(["lb", "kg"])),
            ),
        }
        outcomes = draw(
            st.sampled_from(
                [
                    ["repair"],
                    ["repair", "as-is"],
                    ["total"],
                    ["short"],
                    ["repair", "total"],
                ]
            )
        )
        proceeds = draw(st.integers(0, 10**6)) if "as-is" in outcomes else 0
        for place in range(draw(st.integers(1, 4))):
            outcome = outcomes[place % len(outcomes)]
            lines.append(
                LossLine(
                    label=f"line {len(lines)}",
                    outcome=outcome,
                    repair_cents=draw(st.integers(0, 10**6)),
                    proceeds_cents=proceeds if outcome == "as-is" else 0,
                    mitigation_cents=draw(st.integers(0, 5000)),
                    recovered_cents=draw(st.integers(0, 10**6)),
                    **shared,
                )
            )
    basis = draw(st.sampled_from(["destination", "invoice"]))
    freight = draw(st.none() | st.integers(0, 10**6))
    spare = draw(st.integers(0, 10**4))
    per_lb = draw(st.none() | st.decimals("0.01", 30, places=3))
    return lines, basis, freight, spare, per_lb


def kilograms(line):
    return Fraction(line.mass.amount) * (LB if line.mass.unit == "lb" else 1)


def articles_of(lines):
    found = {}
    for number, line in enumerate(lines):
        found.setdefault(line.article or number, []).append(line)
    return list(found.values())


def loss_of(rows):
    """Return an article's loss in cents, before mitigation and freight."""
    value = rows[0].value_cents
    still_worth = max(row.salvage_cents for row in rows)
    still_worth = max([still_worth, *(row.proceeds_cents for row in rows)])
    most = max(0, value - still_worth)
    asked = 0
    for row in rows:
        if row.outcome in {"repair", "as-is"}:
            asked += row.repair_cents
        if row.outcome in {"as-is", "total"}:
            asked += most
        if row.outcome == "short":
            asked += value
    return min(most, asked)


def rounded(cents):
    exact = Decimal(cents.numerator) / Decimal(cents.denominator)
    return int(exact.quantize(Decimal(1), ROUND_HALF_UP))


def by_hand(lines, basis, freight, *, total_kg, per_lb):
    groups = articles_of(lines)
    claimed = sum(loss_of(rows) for rows in groups)
    claimed += sum(line.mitigation_cents for line in lines)
    if freight and basis == "invoice":
        gone = [
            rows
            for rows in groups
            if rows[0].outcome == "short" or any(r.outcome == "total" for r in rows)
        ]
        part = sum((kilograms(rows[0]) for rows in gone), Fraction(0)) / total_kg
        claimed += rounded(min(part, Fraction(1)) * freight)
    ceiling = None
    if per_lb is not None:
        pounds = sum((kilograms(rows[0]) / LB for rows in groups), Fraction(0))
        ceiling = rounded(Fraction(per_lb) * pounds * 100)
    expected = claimed if ceiling is None else min(claimed, ceiling)
    had = sum(line.recovered_cents for line in lines)
    return claimed, ceiling, expected, expected - had


@pytest.mark.slow
@examples(100, 2000)
@given(claims())
def test_two_worksheets_written_apart_agree(case):
    lines, basis, freight, spare, per_lb = case
    # The whole shipment: what is claimed for, and some goods that came sound.
    total = sum((kilograms(rows[0]) for rows in articles_of(lines)), Fraction(0))
    whole = Decimal(-(-total.numerator // total.denominator) + spare)
    sheet = measure_damages(
        lines,
        basis=basis,
        currency="USD",
        freight=None if freight is None else Freight(freight, Mass(whole, "kg")),
        terms=LimitTerms(regime="us-motor", per_lb=per_lb),
    )
    found = (
        sheet.claimed_cents,
        sheet.limit_cents,
        sheet.expected_cents,
        sheet.balance_cents,
    )
    assert found == by_hand(
        lines, basis, freight, total_kg=Fraction(whole), per_lb=per_lb
    )
    assert sheet.claimed_cents == sum(line.loss_cents for line in sheet.lines)
    assert all(line.loss_cents >= 0 for line in sheet.lines)


@pytest.mark.slow
@examples(50, 300)
@given(claims(), st.decimals("0.01", 30, places=2), st.integers(0, 10**7))
def test_a_limit_never_raises_an_amount(case, per_lb, declared):
    lines, basis, *_ = case
    free = measure_damages(lines, basis=basis, currency="USD")
    for terms in (
        LimitTerms(regime="us-motor", per_lb=per_lb),
        LimitTerms(regime="us-motor", declared_cents=declared),
        LimitTerms(regime="cogsa", declared_cents=declared),
        LimitTerms(regime="cmr", sdr_rate=per_lb),
    ):
        bound = measure_damages(lines, basis=basis, currency="USD", terms=terms)
        assert bound.claimed_cents == free.claimed_cents
        assert bound.expected_by_article_cents <= bound.expected_cents
        assert bound.expected_cents <= free.expected_cents
        assert bound.expected_cents == min(bound.claimed_cents, bound.limit_cents)


@pytest.mark.slow
@examples(50, 300)
@given(claims())
def test_every_lines_steps_lead_to_its_loss(case):
    lines, basis, *_ = case
    for line in measure_damages(lines, basis=basis, currency="USD").lines:
        running = 0
        for step in line.steps[:-1]:
            running = (step.cents or 0) + (0 if step.is_total else running)
        assert running == line.loss_cents == line.steps[-1].cents
