"""CSV and workbooks: typed, equal to each other, and harmless.

What begins a formula: OWASP, "CSV Injection"; quoting: RFC 4180 section 2.
"""

import csv
import io
from datetime import date, datetime

import openpyxl
import pytest

from inventory.documents.core.sheet_files import csv_bytes, xlsx_bytes
from inventory.rules.core.sheets import Column, make_sheet

DAY = date(2026, 3, 31)


def make(rows):
    columns = [
        Column("Words", "text", lambda row: row[0]),
        Column("Day", "day", lambda row: row[1]),
        Column("Amount", "cents", lambda row: row[2], is_summed=True),
        Column("Crates", "count", lambda row: row[3]),
    ]
    return make_sheet("Deposits", columns, rows, currency_of=lambda row: row[4])


def read_csv(sheet):
    return list(csv.reader(io.StringIO(csv_bytes(sheet).decode("utf-8-sig"))))


def read_xlsx(sheet):
    book = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(sheet, made_on=DAY)))
    return book.active


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", " =1", "\uff1d1+1", "=HYPERLINK(1)"],
)
def test_text_never_becomes_a_formula(text):
    sheet = make([(text, DAY, 100, 1, "USD")])
    assert read_csv(sheet)[1][0].startswith("'")
    cell = read_xlsx(sheet)["A2"]
    assert (cell.data_type, cell.value) == ("s", text)


def test_a_negative_amount_stays_a_number():
    sheet = make([("Short", DAY, -1_250, 1, "USD")])
    assert read_csv(sheet)[1][2] == "-12.50"
    cell = read_xlsx(sheet)["C2"]
    assert (cell.data_type, cell.value) == ("n", -12.5)


def test_quotes_commas_and_line_breaks_are_read_back():
    words = 'He said "two", then\nleft; so did we'
    sheet = make([(words, DAY, 1, 1, "USD")])
    assert read_csv(sheet)[1][0] == words
    assert read_xlsx(sheet)["A2"].value == words


def test_both_files_say_the_same_totals():
    sheet = make([("a", DAY, 10_01, 2, "USD"), ("b", None, 5_02, 3, "USD")])
    assert read_csv(sheet)[-1] == ["Total USD", "", "15.03", ""]
    page = read_xlsx(sheet)
    assert [cell.value for cell in page[4]] == ["Total USD", None, 15.03, None]


def test_days_and_counts_are_typed_in_the_workbook():
    page = read_xlsx(make([("a", DAY, 1, 1_200, "USD")]))
    assert page["B2"].value == datetime(2026, 3, 31)  # noqa: DTZ001 - a cell has no zone
    assert page["D2"].value == 1200


def test_the_same_sheet_is_the_same_bytes():
    sheet = make([("a", DAY, 1, 1, "USD")])
    assert xlsx_bytes(sheet, made_on=DAY) == xlsx_bytes(sheet, made_on=DAY)


def test_a_control_character_is_left_out_of_both():
    sheet = make([("a\x00b\x1f", DAY, 1, 1, "USD")])
    assert read_csv(sheet)[1][0] == "ab"
    assert read_xlsx(sheet)["A2"].value == "ab"
