"""A sheet's cells are of their kinds, and its totals are summed once."""

from datetime import date

import pytest

from inventory.rules.core.sheets import Column, SheetError, make_sheet

COLUMNS = [
    Column("Crate", "text", lambda row: row[0]),
    Column("Charged", "day", lambda row: row[1]),
    Column("Amount", "cents", lambda row: row[2], is_summed=True),
]
ROWS = [
    ("HT-1", date(2026, 3, 1), 12_550, "USD"),
    ("HT-2", None, -1_250, "USD"),
    ("HT-3", date(2026, 3, 2), 900, "EUR"),
]


def sheet(rows=ROWS, columns=COLUMNS):
    return make_sheet("Crates", columns, rows, currency_of=lambda row: row[3])


def test_totals_stand_apart_for_each_currency():
    assert sheet().totals == (("Total EUR", None, 900), ("Total USD", None, 11_300))


def test_a_list_without_money_has_no_total():
    assert sheet(columns=COLUMNS[:2]).totals == ()


def test_an_empty_list_is_a_sheet_with_headings_only():
    empty = sheet(rows=[])
    assert (empty.headings, empty.rows, empty.totals) == (
        ("Crate", "Charged", "Amount"),
        (),
        (),
    )


@pytest.mark.parametrize("bad", ["12.50", 12.5, date(2026, 1, 1)])
def test_a_cell_of_another_kind_is_refused(bad):
    with pytest.raises(SheetError, match="Amount is cents"):
        sheet(rows=[("HT-1", None, bad, "USD")])
