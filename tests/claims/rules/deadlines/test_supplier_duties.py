"""The supplier's own periods as dated duties."""

from dataclasses import replace
from datetime import date

import pytest

from claims.rules.deadlines.supplier_duties import (
    SupplierFacts,
    SupplierTerm,
    first_finds,
    supplier_duties,
)
from inventory.rules.reckoning.calendars import calendar_named

US = calendar_named("US")
FACTS = SupplierFacts(
    supplier="Harrow & Tine",
    delivered_on=date(2026, 3, 10),
    bill_on=date(2026, 3, 3),
    found={"damage": date(2026, 3, 12)},
)


def only(term, facts=FACTS):
    (duty,) = supplier_duties([SupplierTerm("damage", *term)], facts, US)
    return duty


@pytest.mark.parametrize(
    ("term", "due"),
    [
        ((5, "days", "delivery"), date(2026, 3, 15)),
        ((5, "business-days", "delivery"), date(2026, 3, 17)),
        ((2, "weeks", "bill"), date(2026, 3, 17)),
        ((3, "days", "discovery"), date(2026, 3, 15)),
        ((1, "months", "invoice"), date(2026, 4, 3)),
        ((48, "hours", "delivery"), date(2026, 3, 12)),
        ((1, "years", "delivery"), date(2027, 3, 10)),
    ],
)
def test_the_period_is_counted_from_its_own_start(term, due):
    assert only(term).due == due


def test_the_safe_day_is_a_business_day():
    assert only((5, "days", "delivery")).safe == date(2026, 3, 13)


def test_hours_shorter_than_a_day_end_on_the_day_itself():
    duty = only((12, "hours", "delivery"))

    assert (duty.due, duty.safe, duty.send_by) == (date(2026, 3, 10),) * 3


def test_a_closed_crate_may_hide_all_but_a_defect():
    terms = [
        SupplierTerm(kind, 5, "days", "delivery")
        for kind in ("damage", "shortage", "wrong", "defect")
    ]
    closed = replace(FACTS, found={}, has_closed_crates=True)

    duties = {duty.duty for duty in supplier_duties(terms, closed, US)}

    assert duties == {"supplier-damage", "supplier-shortage", "supplier-wrong"}


def test_no_shortage_runs_where_the_count_agrees_until_one_is_found():
    terms = [SupplierTerm("shortage", 5, "days", "delivery")]
    agrees = replace(FACTS, found={}, has_closed_crates=True, count_agrees=True)
    found = replace(agrees, found={"shortage": FACTS.delivered_on})

    assert supplier_duties(terms, agrees, US) == ()
    assert [one.duty for one in supplier_duties(terms, found, US)] == [
        "supplier-shortage"
    ]


def test_an_opened_crate_without_a_find_runs_nothing():
    terms = [SupplierTerm("damage", 5, "days", "delivery")]

    assert supplier_duties(terms, replace(FACTS, found={}), US) == ()


def test_a_period_from_discovery_waits_for_the_find():
    terms = [SupplierTerm("damage", 5, "days", "discovery")]
    closed = replace(FACTS, found={}, has_closed_crates=True)

    assert supplier_duties(terms, closed, US) == ()


def test_telling_the_supplier_meets_what_was_found():
    told = replace(FACTS, told_on=date(2026, 3, 13))

    assert only((5, "days", "delivery"), told).met_on == date(2026, 3, 13)


def test_the_first_find_of_each_kind_counts():
    finds = [
        ("cracked", date(2026, 3, 14)),
        ("bent", date(2026, 3, 12)),
        ("missing", date(2026, 3, 13)),
        ("defect", date(2026, 4, 1)),
    ]

    assert first_finds(finds) == {
        "damage": date(2026, 3, 12),
        "shortage": date(2026, 3, 13),
        "defect": date(2026, 4, 1),
    }


@pytest.mark.parametrize(
    ("days", "is_said"),
    [(5, True), (3, False)],  # Sun 15 March 2026; Fri 13 March
)
def test_the_safe_day_is_said_where_it_is_another(days, is_said):
    steps = only((days, "days", "delivery")).steps
    says = "The safe day is the business day before, Fri 13 Mar 2026."
    assert (says in steps) is is_said


@pytest.mark.parametrize(
    ("starts", "billed", "says"),
    [
        ("delivery", None, ()),
        ("bill", date(2026, 3, 3), ()),
        ("bill", None, ("The bill's date is not known, so delivery is used.",)),
    ],
)
def test_only_a_missing_date_of_the_bill_is_pointed_out(starts, billed, says):
    assert only((5, "days", starts), replace(FACTS, bill_on=billed)).notes == says


def test_the_letter_goes_out_a_business_day_before_the_safe_one():
    duty = only((5, "business-days", "delivery"))  # due Tue 17 March 2026
    assert (duty.safe, duty.send_by) == (date(2026, 3, 17), date(2026, 3, 16))
