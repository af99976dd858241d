"""Whatever is uploaded as a memo is read, or told why not; nothing else comes out."""

import warnings
from datetime import date
from functools import cache
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from inventory.forms.core.sheet_files import read_table
from inventory.rules.core.table_files import MOST_LINES, SheetError
from inventory.rules.memos.files import read_lines
from tests.sizes import examples


def read(data):
    """Return the lines, or None with a reason for each that is wrong."""
    upload = SimpleUploadedFile("memo", data)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl warns of what it leaves out
        try:
            rows, separator = read_table(upload)
        except SheetError as error:
            assert str(error)
            return None
    reading = read_lines(rows, separator=separator, currency="USD")
    assert bool(reading.lines) is not bool(reading.problems)
    return reading.lines or None


@cache
def workbook(*rows):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


HEADER = ("Mark", "Amount", "Remark")


def test_cells_are_read_as_they_are_shown():
    data = workbook(
        HEADER,
        ("HT-1", 0.1, None),
        ("HT-2", 1_234_567.89, date(2026, 3, 1)),
        (4711, 120, True),
        ("HT-4", "1,250.00", "late"),
    )
    lines = read(data)
    assert [line.amount for line in lines] == [10, 123_456_789, 12_000, 125_000]
    assert [line.mark for line in lines] == ["HT-1", "HT-2", "4711", "HT-4"]


@pytest.mark.slow
def test_numbers_that_are_no_money_are_told():
    for bad in (1e300, -5, 0.001, 1e-9):
        assert read(workbook(HEADER, ("HT-1", bad, None))) is None


def test_a_sheet_as_wide_as_it_goes_is_read_in_time():
    wide = workbook(("Mark", "Amount", *["x"] * 3_000), ("HT-1", 5, *["y"] * 3_000))
    assert [line.amount for line in read(wide)] == [500]


def test_a_row_at_the_very_end_is_not_waited_for():
    book = Workbook()
    book.active.append(HEADER)
    book.active.cell(row=1_000_000, column=1, value="HT-1")
    out = BytesIO()
    book.save(out)
    assert read(out.getvalue()) is None


def test_the_most_lines_are_read_and_one_more_is_not():
    rows = "".join(f"K{number},1\n" for number in range(MOST_LINES))
    assert len(read(f"mark,amount\n{rows}".encode())) == MOST_LINES
    assert read(f"mark,amount\n{rows}Z,1\n".encode()) is None


@given(st.binary(max_size=300))
def test_any_bytes_are_told(data):
    read(data)


@given(st.text(max_size=200))
def test_any_text_below_a_header_is_told(text):
    read(f"mark,amount,remark\n{text}".encode(errors="replace"))


@pytest.mark.slow
@examples(2, 12)  # a process each
@given(st.integers(0, 5_000), st.binary(min_size=1, max_size=8))
def test_a_damaged_workbook_is_told(place, bytes_over):
    good = workbook(HEADER, ("HT-1", 5, None))
    place %= len(good)
    read(good[:place] + bytes_over + good[place + len(bytes_over) :])


@pytest.mark.slow
@examples(2, 12)  # a process each
@given(st.integers(1, 5_000))
def test_a_workbook_cut_short_is_told(length):
    good = workbook(HEADER, ("HT-1", 5, None))
    assert read(good[: length % len(good)]) is None
