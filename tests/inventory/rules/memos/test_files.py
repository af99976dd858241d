"""A memo's file is read whole, or told why not, row by row."""

import pytest

from inventory.rules.core.table_files import (
    MOST_LINES,
    SheetError,
    decode_text,
    split_rows,
)
from inventory.rules.memos.files import read_lines

GOOD = (
    'mark,type,amount,remark\r\nHT-001,Rack 48,150.00,\r\nHT-002,,"1,250.00",late\r\n'
)


def read(text):
    rows, separator = split_rows(text)
    return read_lines(rows, separator=separator, currency="USD")


def reasons(text):
    return [(one.row, one.reason) for one in read(text).problems]


def test_a_good_file_is_read_whole():
    reading = read(GOOD)
    assert not reading.problems
    first, second = reading.lines
    assert (first.position, first.mark, first.type_name, first.amount) == (
        1,
        "HT-001",
        "Rack 48",
        15_000,
    )
    assert (second.position, second.amount, second.remark) == (2, 125_000, "late")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_byte_order_mark_does_no_harm(encoding):
    data = GOOD.encode(encoding)
    assert read(decode_text(data)) == read(GOOD)


def test_another_encoding_is_refused():
    with pytest.raises(SheetError, match="CSV UTF-8"):
        decode_text("mark,amount\nRÖ-1,5".encode("cp1252"))
    with pytest.raises(SheetError, match="are not text"):
        decode_text(b"mark,amount\n\0\0,5")


def test_semicolons_and_tabs_are_read_too():
    assert read(GOOD.replace('"1,250.00"', "1250.00").replace(",", ";")).lines
    assert read("mark\tamount\nHT-001\t150.00\n").lines[0].amount == 15_000


def test_a_comma_in_an_amount_is_never_guessed_at():
    found = reasons("mark;amount\nHT-001;150,00\n")
    assert found[0][0] == 2
    assert "with a point" in found[0][1]


@pytest.mark.parametrize(
    "text", ["", "\n\n", "a,b,c\n1,2,3\n", "mark,remark\nHT-1,x\n", "amount\n5\n"]
)
def test_a_wrong_header_is_told(text):
    ((row, reason),) = reasons(text)
    assert row == 1
    assert "The first row must name the columns" in reason


def test_a_column_twice_is_told():
    assert (
        "Two columns are named amount" in reasons("mark,amount,credit\nA1,5,6\n")[0][1]
    )


def test_a_header_alone_is_told():
    ((row, reason),) = reasons("mark,amount\n")
    assert (row, reason) == (2, "There are no lines below the header.")


BAD = {
    "HT-009,": "missing",
    "HT-009,abc": "not an amount",
    "HT-009,-5": "less than zero",
    "HT-009,1.005": "fractions of a cent",
    "HT-009,１５": "not an amount",
    "HT-009,1e3": "not an amount",
    "HT-009,NaN": "not an amount",
    "HT-009,99999999999999999999": "too large",
    ",5": "neither a mark nor a type",
    f"{'X' * 61},5": "longer than 60",
}


@pytest.mark.parametrize("row", BAD)
def test_one_bad_line_of_five_hundred_keeps_all_out(row):
    good = [f"K-{number:04d},10.00" for number in range(499)]
    good.insert(250, row)
    reading = read("mark,amount\n" + "\n".join(good))
    assert reading.lines == ()
    (problem,) = reading.problems
    assert problem.row == 252
    assert BAD[row] in problem.reason


def test_a_repeated_mark_names_both_rows():
    ((row, reason),) = reasons("mark,amount\nHT-001,5\nHT-002,5\nht001,5\n")
    assert row == 4
    assert "the same mark as row 2" in reason


def test_a_count_is_split_to_the_cent():
    reading = read("type,count,amount\nRack 48,3,100.00\n")
    assert [line.amount for line in reading.lines] == [3_334, 3_333, 3_333]
    assert [line.position for line in reading.lines] == [1, 2, 3]


@pytest.mark.parametrize("count", ["0", "-1", "1.5", "501", "x", "２"])
def test_a_count_that_is_none(count):
    assert reasons(f"type,count,amount\nRack 48,{count},10.00\n")


@pytest.mark.parametrize("count", ["0", "000", "501", "10000", "1" * 5_000])
def test_a_whole_number_out_of_range_is_not_called_a_fraction(count):
    ((_, reason),) = reasons(f"type,count,amount\nRack 48,{count},10.00\n")
    assert reason == "Its count must be from 1 to 500."


def test_a_count_with_zeros_before_it_is_read():
    assert len(read("type,count,amount\nRack 48,00002,10.00\n").lines) == 2


def test_a_marked_line_is_one_crate():
    assert "must be 1" in reasons("mark,count,amount\nA1,2,10.00\n")[0][1]


def test_a_million_lines_are_not_read():
    rows, _ = split_rows("mark,amount\n" + "A,1\n" * 1_000_000)
    assert len(rows) == MOST_LINES + 2
    ((row, reason),) = [
        (p.row, p.reason) for p in read_lines(rows, currency="USD").problems
    ]
    assert row == MOST_LINES + 2
    assert "more than 5,000 lines" in reason


def test_counts_do_not_get_round_the_limit():
    text = "type,count,amount\n" + "Rack 48,500,10.00\n" * 11
    ((row, reason),) = reasons(text)
    assert row == 2  # the first line below the header: no one line is at fault
    assert "more than 5,000 crates" in reason


def test_only_the_first_hundred_problems_are_listed():
    reading = read("mark,amount\n" + "".join(f"A{n},x\n" for n in range(130)))
    assert (len(reading.problems), reading.more_problems) == (100, 30)


def test_an_open_quotation_mark_is_told():
    with pytest.raises(SheetError, match="quotation mark"):
        split_rows('mark,amount\n"HT-001,5\n')


def test_control_characters_do_not_come_in():
    line = read("mark,amount,remark\nHT\u202e-001,5,a\u0007b\n").lines[0]
    assert (line.mark, line.remark) == ("HT-001", "ab")


def test_empty_rows_are_passed_over():
    assert len(read("mark,amount\n\nHT-001,5\n,,\nHT-002,5\n").lines) == 2


def test_a_column_without_a_name_does_no_harm():
    assert len(read("mark,amount,\nHT-001,5,\n").lines) == 1


@pytest.mark.parametrize("text", ["", "\n\n", ",,\n,,\n"])
def test_an_empty_file_is_told(text):
    ((row, reason),) = reasons(text)
    assert (row, reason.split(".")[0]) == (1, "The file is empty")


def test_bounds_are_still_inside():
    mark, kind, remark = "M" * 60, "T" * 60, "R" * 200
    text = f"mark,type,amount,remark\n{mark},{kind},5,{remark}\n"
    found = read(text)
    assert not found.problems, found.problems
    assert found.lines[0].mark == mark
    counted = read("type,count,amount\nRack 48,500,10.00\nRack 40,1,1.00\n")
    assert len(counted.lines) == 501
    assert [line.position for line in counted.lines[-2:]] == [500, 501]


def test_a_whole_count_may_end_in_a_point_and_zero():
    assert len(read("type,count,amount\nRack 48,2.0,10.00\n").lines) == 2


def test_as_many_problems_as_are_listed_leave_none_over():
    reading = read("mark,amount\n" + "".join(f"A{n},x\n" for n in range(100)))
    assert (len(reading.problems), reading.more_problems) == (100, 0)


def test_as_many_lines_as_are_read():
    text = "mark,amount\n" + "".join(f"A{n},1\n" for n in range(MOST_LINES))
    assert len(read(text).lines) == MOST_LINES
