"""Files that are no list, or no list of this kind; each row names what is wrong.

Made from the kind's own columns, so that each kind of list is tried with all of them.
"""

from datetime import date

from tests.inventory.views.imports.lists import book_of, csv_rows, raw
from tests.inventory.views.memos.test_memos import bomb, laughs


def bad_files(kind):
    """Return what makes each bad file of this kind, by what is wrong with it."""
    heads = list(kind.columns.values())
    row = [kind.example.get(name, "") for name in kind.columns]
    first = kind.columns[kind.needed[0]]
    good = csv_rows(heads, row).read()
    return {
        "empty": lambda: raw(b""),
        "only blanks": lambda: raw(b" \n , ,\n"),
        "headings and no row": lambda: csv_rows(heads),
        "another heading": lambda: csv_rows([*heads, "Fax"], [*row, "1"]),
        "a needed heading missing": lambda: csv_rows(heads[1:], row[1:]),
        "no heading at all": lambda: csv_rows(row, row),
        "a heading twice": lambda: csv_rows([*heads, first], [*row, "x"]),
        "headings by their keys": lambda: csv_rows(
            [f"{one}_id" for one in kind.columns], row
        ),
        "another language": lambda: csv_rows(["Nom", *heads[1:]], row),
        "a title above": lambda: csv_rows(["Our list"], heads, row),
        "columns and rows changed over": lambda: csv_rows(
            *zip(heads, row, strict=True)
        ),
        "two separators": lambda: csv_rows([f"{heads[0]};{heads[1]}", *heads[2:]], row),
        "an open quote": lambda: raw(good + b'\n"Heron,Gannet\n'),
        "latin letters": lambda: raw(good + "\nFrère".encode("latin-1")),
        "utf-16 without a mark": lambda: raw(good.decode().encode("utf-16-le")),
        "utf-32": lambda: raw(good.decode().encode("utf-32")),
        "zero bytes": lambda: raw(good + b"\nHer\0on"),
        "a picture": lambda: raw(b"\x89PNG\r\n\x1a\n" + bytes(range(256))),
        "a pdf": lambda: raw(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"),
        "html": lambda: raw(b"<html><table><tr><td>Name</td></tr></table></html>"),
        "json": lambda: raw(b'[{"name": "Heron"}]'),
        "half a zip": lambda: raw(b"PK\x03\x04" + b"0" * 90),
        "an old workbook": lambda: raw(b"\xd0\xcf\x11\xe0" + b"0" * 90),
        "a bomb": lambda: raw(bomb()),
        "laughs": lambda: raw(laughs()),
        "an empty workbook": lambda: book_of([]),
        "two sheets": lambda: book_of([heads, row], [["x"]]),
        "the list on the second sheet": lambda: book_of([], [heads, row]),
        "formulas": lambda: book_of([heads, ["=A1", *row[1:]]]),
        "a formula for a heading": lambda: book_of([["=B1", *heads[1:]], row]),
        "a workbook of dates": lambda: book_of([[date(2026, 3, 1)], [46_022]]),
        "too many rows": lambda: csv_rows(heads, *[row] * 501),
        "rows of the whole sheet": lambda: book_of([heads, *[row] * 6_000]),
        "a million rows": lambda: raw(good + b"x\n" * 1_000_000),
        "too large": lambda: raw(good + b"x" * 2_200_000),
        "a cell too long": lambda: raw(good + b"\n" + b"x" * 140_000),
    }


def bad_rows(kind):
    """Return rows that are refused one by one, by what is wrong: cells of the row."""
    wrong = {
        "a needed cell missing": {kind.needed[0]: ""},
        "a formula": {kind.needed[0]: "=1+1"},
        "a formula in wide letters": {kind.needed[0]: "@SUM(A1)"},
        "a tab first": {kind.needed[0]: "\tx"},
        "a cell that is far too long": {kind.needed[0]: "x" * 600},
    }
    for name in sorted(kind.days):
        wrong[f"{name}, a date as a number"] = {name: "46022"}
        wrong[f"{name}, a date of another country"] = {name: "31.03.2026"}
        wrong[f"{name}, a day that is none"] = {name: "2026-02-31"}
        wrong[f"{name}, in the future"] = {name: "2199-01-01"}
    return wrong
