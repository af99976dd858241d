"""The tag of a part: small, complete, the same bytes every time."""

from dataclasses import replace
from datetime import date
from io import BytesIO

from pypdf import PdfReader

from claims.documents.part_tag import SIZE, part_tag_pdf
from claims.rules.bench.part_tags import PartLabel

DAY = date(2026, 11, 26)
LABEL = PartLabel(
    number="T-0012",
    part="Deck shell, 52 in",
    machine="ZT 52 mower · CB52A01874",
    finding="Finding 3: Deck shell, Bent",
    claim="QN-2026-0003",
    bill="PRO 410-220871",
    tagged="Thu 26 Nov 2026, Tomas Brandt",
    shelf="C4",
    company="Quillback Northgate",
)


def text_of(data):
    pages = PdfReader(BytesIO(data)).pages
    assert len(pages) == 1
    return " ".join(pages[0].extract_text().split())


def test_it_says_whose_it_is_since_when_and_how_long_to_keep_it():
    text = text_of(part_tag_pdf(LABEL, made_on=DAY))
    said = [value for name, value in vars(LABEL).items() if name != "shelf"]
    for words in (*said, "Shelf C4", "Keep until the carrier waives it in writing"):
        assert words in text, words


def test_it_is_four_by_three_inches_and_the_same_bytes():
    data = part_tag_pdf(LABEL, made_on=DAY)
    box = PdfReader(BytesIO(data)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == SIZE == (288, 216)
    assert data == part_tag_pdf(replace(LABEL), made_on=DAY)


def test_the_file_says_the_day_of_the_tag():
    said = PdfReader(BytesIO(part_tag_pdf(LABEL, made_on=DAY))).metadata
    assert said.creation_date.date() == DAY


def test_long_words_end_with_dots_on_the_same_page():
    long = replace(
        LABEL, part="Left front anti-scalp wheel bracket " * 4, shelf="Back " * 20
    )
    text = text_of(part_tag_pdf(long, made_on=DAY))
    assert "…" in text
    assert "collects it, or the claim is closed" in text
