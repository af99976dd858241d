"""Our figure against the supplier's, and the fewest rows that explain it."""

from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.memos.statements import MOST_TRIED, Reason, compare


def reasons(*cents):
    return [Reason(f"row {n}", c, "short") for n, c in enumerate(cents)]


def test_two_rows_that_add_up_are_named():
    found = compare(100_000, 78_500, reasons(6_000, 18_500, 3_000, 9_900))
    assert found.difference == 21_500
    assert [row.cents for row in found.explained] == [18_500, 3_000]
    assert [row.cents for row in found.others] == [6_000, 9_900]
    assert found.is_explained


def test_one_row_goes_before_two():
    found = compare(9, 0, reasons(4, 5, 9))
    assert [row.cents for row in found.explained] == [9]


def test_what_nothing_explains_stays_unexplained():
    found = compare(100, 0, reasons(30, 40))
    assert found.explained == ()
    assert len(found.others) == 2
    assert not found.is_explained


def test_figures_that_agree_need_no_row():
    found = compare(100, 100, reasons(30, -30))
    assert found.agrees
    assert found.is_explained
    assert found.explained == ()


def test_a_lower_figure_is_explained_too():
    found = compare(0, 250, reasons(-250, 250))
    assert [row.cents for row in found.explained] == [-250]


@given(
    st.lists(st.integers(-500, 500), max_size=9),
    st.integers(-1_000, 1_000),
)
def test_what_is_named_adds_up(cents, gap):
    found = compare(gap, 0, reasons(*cents))
    if found.explained:
        assert sum(row.cents for row in found.explained) == gap
    whole = sum(1 for c in cents if c)
    assert len(found.explained) + len(found.others) == whole


def test_many_rows_end_in_time():
    found = compare(1, 0, reasons(*([1_000] * (MOST_TRIED + 50))))
    assert not found.is_explained
