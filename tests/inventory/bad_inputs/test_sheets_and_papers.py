"""What goes into a spreadsheet stays words; what comes as a PDF stays shut."""

import subprocess
from datetime import date

import pytest
from pypdf import PdfReader

from inventory.documents.core.sheet_files import csv_bytes, xlsx_bytes
from inventory.evidence.pictures import renditions
from inventory.models import Evidence
from inventory.rules.core.sheets import Column, make_sheet
from tests.inventory.bad_inputs import files

pytestmark = pytest.mark.database


def sheet(*texts, cents=0):
    columns = [
        Column("Words", "text", lambda row: row),
        Column("Amount", "cents", lambda _row: cents),
    ]
    return make_sheet("Test", columns, texts, currency_of=lambda _row: "USD")


def cells(*texts, **more):
    lines = csv_bytes(sheet(*texts, **more)).decode("utf-8-sig").split("\r\n")
    return lines[1:-1]


F56 = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", " =1", "\uff1d1+1"]


@pytest.mark.parametrize("text", F56)
def test_f56_no_words_become_a_formula(text):
    assert cells(text)[0].startswith("'")
    assert xlsx_bytes(sheet(text), made_on=date(2026, 3, 10)).startswith(b"PK")


def test_f57_a_negative_amount_stays_a_number():
    assert cells("words", cents=-1250) == ["words,-12.50"]


def test_f58_quotes_line_ends_commas_and_semicolons_are_quoted():
    assert cells('a "b"', "c,d", "e;f") == ['"a ""b""",0.00', '"c,d",0.00', "e;f,0.00"]
    assert '"a\nb"' in csv_bytes(sheet("a\nb")).decode()


PDFS = [
    # number, how it is made
    (
        "F65 bomb",
        lambda: (
            b"%PDF-1.7\n1 0 obj <</Filter/FlateDecode>> stream\n"
            + files.zeros(300_000_000)
            + b"\nendstream endobj\n%%EOF"
        ),
    ),
    (
        "F65 script",
        lambda: (
            b"%PDF-1.7\n1 0 obj <</OpenAction <</S/JavaScript/JS(app.alert(1))>>>> endobj\n%%EOF"
        ),
    ),
    ("F65 cut", lambda: b"%PDF-1.7\n1 0 obj <</Length 9999>> stream\nx"),
    (
        "F65 encrypted",
        lambda: b"%PDF-1.7\ntrailer <</Encrypt <</Filter/Standard/V 5>>>>\n%%EOF",
    ),
]


@pytest.mark.slow
@pytest.mark.parametrize(("number", "make"), PDFS, ids=[row[0] for row in PDFS])
def test_f65_a_pdf_is_kept_and_never_opened(house, number, make, monkeypatch):
    for door in (
        (subprocess, "run"),
        (renditions, "read_picture"),
        (PdfReader, "__init__"),
    ):
        monkeypatch.setattr(*door, None)

    assert house.send(make(), name="paper.pdf").status_code == 302, number
    kept = Evidence.objects.exclude(pk=house.first.pk).get()
    page = house.get("evidence", kept.pk).content.decode()
    assert "<img" not in page.partition("<main")[2]
    given = house.get("original", kept.pk)
    assert b"".join(given.streaming_content) == make()
    assert given["Content-Disposition"].startswith("attachment;")
    assert "sandbox" in given["Content-Security-Policy"]


def test_f65_an_empty_pdf_is_refused(house):
    answer = house.send(b"", name="paper.pdf")
    assert answer.status_code == 422
    assert "The file is empty" in answer.content.decode()
