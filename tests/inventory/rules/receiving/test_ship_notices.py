"""A ship notice is read bill by bill, or told row by row why not."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.core.table_files import MOST_LINES, SheetError
from inventory.rules.receiving.announced import MOST_PIECES
from inventory.rules.receiving.ship_notices import Reading, read_announced

TODAY = date(2026, 11, 26)
HEADER = ("PRO", "BOL", "Carrier", "Expected", "Mark", "Model", "Pieces", "Reusable")


def read(*rows, header=HEADER, order="mdy", fallback=None):
    return read_announced([header, *rows], Reading(order, TODAY, fallback))


def row(pro="77-1", mark="2F0416/6", **over):
    cells = {
        "PRO": pro,
        "BOL": "B-9",
        "Carrier": "Gannet Overland",
        "Expected": "2026-11-30",
        "Mark": mark,
        "Model": "TX 48",
        "Pieces": "1",
        "Reusable": "yes",
    }
    return tuple((cells | over).values())


def reasons(notice):
    return [(one.row, one.reason) for one in notice.refused]


def test_the_rows_of_a_bill_are_one_announcement():
    notice = read(row(), row(mark="2F0417/1"), row("PRO 88", mark="", Pieces="5"))

    assert not notice.refused
    first, second = notice.bills
    assert (first.pro, first.bol, first.expected_on) == (
        "77-1",
        "B-9",
        date(2026, 11, 30),
    )
    assert [crate.mark for crate in first.crates] == ["2F0416/6", "2F0417/1"]
    assert (first.pieces, second.pro, second.pieces) == (2, "88", 5)
    assert {crate.kind for crate in first.crates} == {"reusable"}


def test_other_words_for_the_columns_are_known():
    header = ("Bill of lading", "ETA", "Crate number", "Description", "Qty")
    (bill,) = read(("B-1", "2026-12-01", "M-1", "TX", "1"), header=header).bills

    assert (bill.bol, bill.crates[0].mark, bill.crates[0].model) == ("B-1", "M-1", "TX")
    assert read(("7", "M"), header=("PRO #", "Mark"), fallback=TODAY).bills


def test_slashes_are_read_in_the_order_that_was_chosen():
    for order, day in (("mdy", date(2026, 12, 3)), ("dmy", date(2027, 3, 12))):
        written = "12/03/2026" if order == "mdy" else "12/03/2027"
        (bill,) = read(row(Expected=written), order=order).bills
        assert bill.expected_on == day
    (bill,) = read(row(Expected="2026-12-03 00:00:00"), order="dmy").bills
    assert bill.expected_on == date(2026, 12, 3)


@pytest.mark.parametrize(
    ("over", "reason"),
    [
        ({"PRO": "", "BOL": ""}, "It has neither a PRO nor a bill of lading."),
        ({"Expected": ""}, "It has no expected date."),
        ({"Expected": "soon"}, "Its date, soon, is no day. Use 2026-11-30."),
        (
            {"Expected": "2026-02-30"},
            "Its date, 2026-02-30, is no day. Use 2026-11-30.",
        ),
        (
            {"Expected": "2036-01-01"},
            "Its date, 2036-01-01, is more than two years off.",
        ),
        ({"Pieces": "two"}, "Its pieces, two, are not a whole number."),
        ({"Pieces": "2"}, "A row with a mark is one crate; its pieces must be 1."),
        ({"Pieces": "0", "Mark": ""}, f"Its pieces must be from 1 to {MOST_PIECES}."),
        ({"Reusable": "perhaps"}, "Reusable is yes or no, not perhaps."),
        ({"Mark": "M" * 61}, "Its mark is longer than 60 characters."),
    ],
)
def test_a_row_that_cannot_be_read_says_why(over, reason):
    assert reasons(read(row(**over))) == [(2, reason)]


def test_a_bill_with_one_refused_row_is_left_out_whole():
    notice = read(row(), row(mark="M-2", Pieces="x"), row("88"))

    assert [bill.pro for bill in notice.bills] == ["88"]
    assert reasons(notice) == [
        (2, "Row 3 of the same bill cannot be read."),
        (3, "Its pieces, x, are not a whole number."),
    ]


def test_the_rows_of_a_bill_must_agree_and_a_mark_comes_once():
    differing = read(row(), row(mark="M-2", Carrier="Another Line"))
    assert reasons(differing)[0] == (2, "The rows of this bill differ in the carrier.")
    twice = read(row(), row(mark="2f0416-6"))
    assert reasons(twice)[1] == (3, "Rows 2 and 3 have the same mark.")
    many = read(*[row(mark="", Pieces="150")] * 2)
    assert reasons(many)[0][1] == f"A bill announces at most {MOST_PIECES} crates."
    assert read(row(), row(mark="M-2", Carrier="", BOL="")).bills


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([], "The file is empty."),
        ([("", "")], "The file is empty."),
        ([HEADER], "There are no rows below the header."),
        ([("Name", "Amount"), ("a", "b")], "The columns do not match a ship notice."),
        (
            [("PRO", "PRO number", "Mark"), ("1", "1", "M")],
            "Two columns are named pro.",
        ),
        ([HEADER] + [row()] * (MOST_LINES + 1), "more than 5,000 rows"),
    ],
)
def test_what_is_no_ship_notice_is_refused_in_one_sentence(rows, words):
    with pytest.raises(SheetError, match=words):
        read_announced(rows, Reading("mdy", TODAY))


@given(st.lists(st.lists(st.text(max_size=12), max_size=9), max_size=6))
def test_whatever_the_cells_hold_each_row_has_one_fate(rows):
    table = [HEADER, *rows]
    try:
        notice = read_announced(table, Reading("mdy", TODAY, TODAY))
    except SheetError as error:
        assert str(error)
        return
    taken = [crate.row for bill in notice.bills for crate in bill.crates]
    left = [one.row for one in notice.refused]
    assert sorted(taken + left) == sorted(set(taken + left))
    assert all(one.reason for one in notice.refused)
