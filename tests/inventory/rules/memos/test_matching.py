"""Every line of a memo has one fate, and every difference its cause."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.memos import matching as memos
from inventory.rules.memos.matching import (
    Awaited,
    Fate,
    Line,
    left_out,
    match_lines,
    match_one,
)


def awaited(key=1, cents=15_000, **over):
    values = {"marks": (f"HT-{key:03d}",), "types": ("Rack 48",), "return_key": 5}
    return Awaited(key, cents, **{**values, **over})


def fate_of(line, *rows):
    (only,) = match_lines([line], rows, "USD")
    return only


CASES = {
    "paid in full": (Line(1, 15_000, "ht 001"), awaited(), "as-expected", 1),
    "late by its words": (
        Line(1, 10_000, "HT-001", remark="12 days LATE"),
        awaited(),
        "late",
        1,
    ),
    "late by the table of days": (
        Line(1, 7_500, "HT001"),
        awaited(later_credits=(15_000, 7_500, 0)),
        "late",
        1,
    ),
    "a part by its words": (
        Line(1, 12_000, "HT-001", remark="1 bracket missing"),
        awaited(),
        "missing-part",
        1,
    ),
    "two parts by their price": (
        Line(1, 12_000, "HT-001"),
        awaited(part_prices=(1_500, 4_000)),
        "missing-part",
        1,
    ),
    "another price": (
        Line(1, 14_321, "HT-001"),
        awaited(part_prices=(1_500,)),
        "price",
        1,
    ),
    "more": (Line(1, 15_001, "HT-001"), awaited(), "more", 1),
    "not ours": (Line(1, 15_000, "ZZ-900"), awaited(), "not-ours", None),
    "already credited": (Line(1, 15_000, "HT-001"), awaited(cents=0), "twice", 1),
    "credited in part, and again": (
        Line(1, 9_000, "HT-001"),
        awaited(cents=3_000, paid_cents=9_000),
        "twice",
        1,
    ),
    "the rest of what was credited in part": (
        Line(1, 3_000, "HT-001"),
        awaited(cents=3_000, paid_cents=9_000),
        "as-expected",
        1,
    ),
    "do not show this crate as shipped back": (
        Line(1, 15_000, "HT-001"),
        awaited(is_shipped=False),
        "",
        None,
    ),
    "names nothing": (Line(1, 15_000), awaited(), "", None),
    "by type, but kept by mark": (
        Line(1, 15_000, type_name="rack 48"),
        awaited(),
        "",
        None,
    ),
    "by type and count": (
        Line(1, 15_000, type_name="RACK_48"),
        awaited(by_count=True),
        "as-expected",
        1,
    ),
    "of a type that is used up": (
        Line(1, 15_000, type_name="Rack 48"),
        awaited(cents=0, by_count=True),
        "twice",
        None,
    ),
    "nothing at all": (Line(1, 0, "HT-001"), awaited(), "price", 1),
}


@pytest.mark.parametrize("name", CASES)
def test_a_line_has_its_fate(name):
    line, row, fate, key = CASES[name]
    found = fate_of(line, row)
    assert (found.fate, found.key) == (fate, key)
    assert found.sentence


def test_a_difference_is_told_with_its_figures():
    found = fate_of(Line(1, 12_000, "HT-001"), awaited(part_prices=(1_500,)))
    assert found.sentence == (
        "$30.00 short of the $150.00 expected: it equals the price of 2 parts at $15.00."
    )
    assert (found.met, found.short, found.surplus) == (12_000, 3_000, 0)


def test_a_surplus_is_told_apart():
    found = fate_of(Line(1, 15_700, "HT-001"), awaited())
    assert (found.met, found.surplus, found.short) == (15_000, 700, 0)


def test_a_grai_is_the_same_in_every_form():
    # GRAI 9501101021037 is GS1's own example of a check digit.
    row = awaited(marks=("(8003)09501101021037A1",))
    for text in (
        "(8003)09501101021037A1",
        "]C1800309501101021037A1",
        "https://id.gs1.org/8003/09501101021037A1",
    ):
        assert fate_of(Line(1, 15_000, text), row).fate == "as-expected"
    assert fate_of(Line(1, 15_000, "(8003)09501101021037A2"), row).fate == "not-ours"


def test_the_oldest_charge_is_credited_first():
    old = awaited(1, by_count=True, charged_on=date(2026, 1, 5))
    new = awaited(2, by_count=True, charged_on=date(2026, 2, 5))
    line = Line(1, 15_000, type_name="Rack 48")
    assert fate_of(line, new, old).key == 1


def test_the_newest_is_first_where_the_terms_say_so():
    days = (date(2026, 1, 5), date(2026, 2, 5))
    rows = [
        awaited(key, by_count=True, charged_on=day, oldest_first=False)
        for key, day in enumerate(days, start=1)
    ]
    assert fate_of(Line(1, 15_000, type_name="Rack 48"), *rows).key == 2


def test_a_mark_chooses_before_a_type():
    rows = [awaited(1, by_count=True), awaited(2, by_count=True)]
    lines = [Line(1, 15_000, type_name="Rack 48"), Line(2, 15_000, "HT-001")]
    assert [fate.key for fate in match_lines(lines, rows, "USD")] == [2, 1]


def test_the_same_mark_twice_pays_once():
    lines = [Line(1, 15_000, "HT-001"), Line(2, 15_000, "HT 001")]
    found = match_lines(lines, [awaited()], "USD")
    assert [fate.fate for fate in found] == ["as-expected", "twice"]


def test_nothing_is_expected_of_a_crate_that_is_settled():
    settled = fate_of(Line(1, 15_000, "HT-001"), awaited(cents=0))
    assert (settled.fate, settled.key, settled.expected) == ("twice", 1, 0)


def test_a_mark_used_again_pays_the_crate_that_is_open():
    rows = [awaited(1, 0), awaited(2, marks=("HT-001",))]
    assert fate_of(Line(1, 15_000, "HT-001"), *rows).key == 2


def test_what_the_memo_leaves_out_is_named():
    rows = [awaited(1), awaited(2), awaited(3, return_key=6), awaited(4, 0)]
    fates = match_lines([Line(1, 15_000, "HT-001")], rows, "USD")
    assert [row.key for row in left_out(fates, rows)] == [2]


def test_a_memo_for_nothing_of_ours_leaves_nothing_out():
    rows = [awaited(1), awaited(2)]
    fates = match_lines([Line(1, 15_000, "ZZ-1")], rows, "USD")
    assert left_out(fates, rows) == ()


def test_a_person_may_say_which_crate_it_is():
    line = Line(1, 15_000, "HT-0O1")
    assert match_one(line, awaited(), "USD").fate == "as-expected"
    assert match_one(line, awaited(cents=0), "USD").fate == "twice"
    assert match_one(line, awaited(is_shipped=False), "USD").fate == ""
    assert memos.not_ours(line).fate == "not-ours"


marks = st.sampled_from(["", "HT-001", "HT-002", "HT-003", "ZZ-9", "(8003)1"])
lines = st.lists(
    st.builds(
        Line,
        position=st.integers(1, 99),
        amount=st.integers(0, 30_000),
        mark=marks,
        type_name=st.sampled_from(["", "Rack 48", "Other"]),
        remark=st.sampled_from(["", "late", "panel missing"]),
    ),
    max_size=8,
)
pools = st.lists(
    st.builds(
        awaited,
        key=st.integers(1, 4),
        cents=st.sampled_from([0, 1, 15_000]),
        by_count=st.booleans(),
        is_shipped=st.booleans(),
        return_key=st.sampled_from([None, 5, 6]),
    ),
    max_size=4,
    unique_by=lambda row: row.key,
)


@given(lines, pools)
def test_the_fates_add_up_to_the_memo(rows, pool):
    fates = match_lines(rows, pool, "USD")
    total = sum(line.amount for line in rows)
    assert [fate.position for fate in fates] == [line.position for line in rows]
    sums = memos.sums_by_fate(fates)
    assert sum(cents for _, cents in sums.values()) == total
    assert sum(count for count, _ in sums.values()) == len(fates)
    assert sum(f.met + f.surplus + f.apart for f in fates) == total
    paying = [fate for fate in fates if fate.fate in memos.PAYS]
    keys = [fate.key for fate in paying]
    assert len(keys) == len(set(keys))
    opened = {row.key: row.open_cents for row in pool}
    for fate in paying:
        assert fate.met + fate.short == opened[fate.key]
        assert (fate.short > 0) is (fate.fate in memos.SHORTER)
        assert (fate.surplus > 0) is (fate.fate == memos.MORE)


@given(lines, pools)
def test_open_money_is_paid_or_left_out_or_untouched(rows, pool):
    fates = match_lines(rows, pool, "USD")
    out = {row.key for row in left_out(fates, pool)}
    paid = {fate.key for fate in fates if fate.fate in memos.PAYS}
    assert not out & paid
    assert all(row.open_cents for row in pool if row.key in out)


@pytest.mark.parametrize(
    ("fate", "expected", "split"),
    [
        ("as-expected", 100, (100, 0, 0, 0)),
        ("price", 120, (100, 0, 0, 20)),
        ("more", 60, (60, 40, 0, 0)),
        ("more", None, (0, 100, 0, 0)),
        ("not-ours", 60, (0, 0, 100, 0)),
        ("twice", None, (0, 0, 100, 0)),
        ("", None, (0, 0, 100, 0)),
    ],
)
def test_each_cent_of_a_line_goes_to_one_place(fate, expected, split):
    found = Fate(1, 100, fate, expected=expected)
    assert (found.met, found.surplus, found.apart, found.short) == split
    assert found.met + found.surplus + found.apart == 100
