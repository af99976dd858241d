"""Stacks on a trailer's floor, in whole millimetres."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.returns.stacks import LONG_VAN, Load, Trailer, plan_stacks

VAN = Trailer(6_000, 2_400, 2_600)


def only(load, trailer=VAN):
    return plan_stacks([load], trailer).stackings[0]


def test_nested_crates_add_their_nested_height():
    # 900 + 3 x 300 = 1,800; a fifth would make 2,100, but four is the most.
    row = only(Load("Rack", 8, 1_200, 1_000, 900, 300, 4))
    assert (row.per_stack, row.stack_mm, row.stacks) == (4, 1_800, 2)
    assert (row.across, row.rows, row.floor_mm) == (2, 1, 1_000)
    assert row.is_turned  # 2 x 1,200 across, 1,000 deep: shorter than 1,200


def test_the_roof_is_the_limit_where_more_would_be_allowed():
    # 900, 1,750, 2,600: three stand under 2,600, not one more.
    row = only(Load("Wood", 7, 1_100, 1_100, 900, 850, 9))
    assert (row.per_stack, row.stack_mm, row.stacks, row.left) == (3, 2_600, 3, 0)


def test_without_a_nested_height_each_stands_at_its_full_height():
    row = only(Load("Wood", 2, 1_100, 1_100, 1_300, None, 9))
    assert (row.per_stack, row.stack_mm) == (2, 2_600)


def test_what_finds_no_floor_is_said():
    # One row of two stacks takes 2,000; three rows fit: 6 of 8 crates.
    row = only(Load("Wood", 8, 2_000, 1_200, 1_500, None, 1))
    assert (row.rows, row.fits, row.left, row.floor_mm) == (3, 6, 2, 6_000)


@pytest.mark.parametrize(
    ("load", "word"),
    [
        (Load("A", 1, None, 1_000, 1_000), "not known"),
        (Load("B", 1, 1_000, 1_000, 2_601), "taller"),
        (Load("C", 1, 2_500, 2_401, 1_000), "wider"),
        (Load("D", 1, 6_001, 2_400, 1_000), "No floor"),
    ],
)
def test_what_cannot_stand_says_why(load, word):
    row = only(load)
    assert word in row.problem
    assert (row.fits, row.left, row.floor_mm) == (0, 1, 0)


def test_the_longest_footprint_stands_first():
    plan = plan_stacks(
        [Load("Short", 2, 800, 800, 800), Load("Long", 1, 3_000, 900, 800)], VAN
    )
    assert [row.name for row in plan.stackings] == ["Long", "Short"]
    assert plan.floor_mm == 3_000 + 800
    assert plan.words_in("m") == "All 3 fit on 3.80 m of the 6.00 m floor."


def test_the_words_name_what_stays_behind():
    plan = plan_stacks([Load("Wood", 8, 2_000, 1_200, 1_500)], VAN)
    assert plan.words_in("m") == ("6 fit on 6.00 m of the 6.00 m floor; 2 do not fit.")


def test_a_trailer_has_measures():
    with pytest.raises(ValueError, match="a length"):
        plan_stacks([], Trailer(0, 2_400, 2_600))


sizes = st.integers(1, 4_000)
loads = st.builds(
    Load,
    name=st.sampled_from(["A", "B", "C"]),
    count=st.integers(1, 60),
    length_mm=sizes,
    width_mm=sizes,
    height_mm=sizes,
    nested_mm=st.none() | sizes,
    most_stacked=st.integers(1, 8),
)


@given(st.lists(loads, max_size=4))
def test_a_plan_stays_inside_the_trailer_and_loses_no_crate(rows):
    plan = plan_stacks(rows, LONG_VAN)
    assert plan.floor_mm <= LONG_VAN.length_mm
    assert plan.fits + plan.left == sum(row.count for row in rows)
    assert sorted(row.name for row in plan.stackings) == sorted(r.name for r in rows)
    for row in plan.stackings:
        assert 0 <= row.fits <= row.count
        assert row.stack_mm <= LONG_VAN.height_mm
        assert row.fits <= row.stacks * row.per_stack
        assert row.stacks <= row.rows * row.across
        assert bool(row.problem) is (row.fits == 0)


@given(loads)
def test_more_floor_never_carries_less(load):
    short = Trailer(8_000, LONG_VAN.width_mm, LONG_VAN.height_mm)
    assert only(load, short).fits <= only(load, LONG_VAN).fits


def test_of_equally_long_footprints_the_wider_stands_first_then_by_name():
    plan = plan_stacks(
        [
            Load("Narrow", 1, 2_000, 500, 800),
            Load("B wide", 1, 1_000, 2_000, 800),
            Load("A wide", 1, 2_000, 1_000, 800),
            Load("Unknown", 1, None, None, None),
        ],
        VAN,
    )
    names = [row.name for row in plan.stackings]
    assert names == ["A wide", "B wide", "Narrow", "Unknown"]


def test_a_crate_as_tall_as_the_trailer_stands():
    row = only(Load("Tall", 1, 1_000, 1_000, 2_600))
    assert (row.fits, row.stack_mm, row.problem) == (1, 2_600, "")


@pytest.mark.parametrize("trailer", [(0, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_a_trailer_without_an_inside_is_refused(trailer):
    with pytest.raises(ValueError, match="needs a length"):
        plan_stacks([], Trailer(*trailer))
    assert plan_stacks([], Trailer(1, 1, 1)).fits == 0


def test_the_plan_is_said_in_metres():
    loads = [Load("Wood", 8, 2_000, 1_200, 1_500)]
    plan = plan_stacks(loads, VAN)
    assert plan.words_in("m") == "6 fit on 6.00 m of the 6.00 m floor; 2 do not fit."
    all_of_it = plan_stacks([Load("Wood", 1, 1_004, 1_200, 1_500)], VAN)
    assert all_of_it.words_in("m") == "All 1 fit on 1.00 m of the 6.00 m floor."
    rounded = plan_stacks([Load("Wood", 1, 1_105, 2_400, 1_500)], VAN)
    assert rounded.words_in("m") == "All 1 fit on 1.11 m of the 6.00 m floor."


def test_a_row_lies_the_way_that_takes_less_floor():
    # 2 x 1,150 across and 1,000 deep; turned, 2 x 1,000 across and 1,150 deep.
    row = only(Load("Flat", 2, 1_000, 1_150, 500, None, 1))
    assert (row.across, row.floor_mm, row.is_turned) == (2, 1_000, False)


def test_nothing_that_fits_has_no_height_and_a_reason():
    row = only(Load("Long", 1, 6_001, 2_400, 1_000))
    assert (row.fits, row.stack_mm, row.floor_mm) == (0, 0, 0)


def test_of_two_equal_lengths_the_wider_stands_first():
    narrow = Load("A", 1, 1_200, 800, 500)
    wide = Load("B", 1, 1_000, 1_200, 500)
    plan = plan_stacks([narrow, wide], VAN)
    assert [row.name for row in plan.stackings] == ["B", "A"]
