"""A letter says what it was given, on one page, the same bytes every time."""

import dataclasses
from io import BytesIO

import pytest
from pypdf import PdfReader

from claims.documents.letters import letter_pdf
from claims.rules.letters.content import LetterContent, from_json, to_json
from claims.rules.letters.tables import table_text
from claims.rules.packet.content import Party, Row

LETTER = LetterContent(
    sender=Party("Quillback Northgate", ("880 Granary Road", "East Tallow, IA 52999")),
    addressee=Party("Sedge & Stone Lines", ("Cargo claims", "Dunmarrow, NE 68999")),
    date="12 March 2026",
    references=(
        Row("Freight bill (PRO)", "SSL 7730412"),
        Row("Bill of lading", "OIW-30331"),
    ),
    subject="Notice of concealed damage and request for inspection",
    paragraphs=(
        "We report damage that could not be determined at the time of delivery:",
        "> Crate 1: fuel tank dented.\n> Crate outside clear.",
        "Please inspect the goods at our dock, or waive inspection in writing.",
    ),
    signed_by="Mina Osterby",
    signed_as="Manager",
    enclosures=("4 photos", "copy of the delivery receipt"),
)


def text_of(data):
    pages = PdfReader(BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def test_says_all_it_was_given_on_one_page():
    data = letter_pdf(LETTER)
    text = text_of(data)
    assert len(PdfReader(BytesIO(data)).pages) == 1
    for said in (
        "Sedge & Stone Lines",
        "SSL 7730412",
        "OIW-30331",
        "Crate 1: fuel tank dented. Crate outside clear.",
        "Mina Osterby",
        "Enclosed: 4 photos copy of the delivery receipt",
        "Page 1 of 1",
    ):
        assert said in text


def test_same_content_same_bytes():
    assert letter_pdf(LETTER) == letter_pdf(from_json(to_json(LETTER)))


def test_quoted_words_stand_without_their_marks():
    assert "> Crate" not in text_of(letter_pdf(LETTER))


@pytest.mark.parametrize("words", ["<b", "label says <torn>", "<!-- x -->"])
def test_prints_markup_as_words(words):
    letter = dataclasses.replace(LETTER, paragraphs=(words,), subject=words)
    assert text_of(letter_pdf(letter)).count(words) >= 2


def test_goes_on_to_a_second_page():
    letter = dataclasses.replace(LETTER, paragraphs=("More words. " * 60,) * 12)
    data = letter_pdf(letter)
    count = len(PdfReader(BytesIO(data)).pages)
    assert count > 1
    assert f"Page {count} of {count}" in text_of(data)


def test_a_table_is_set_in_columns_with_amounts_to_the_right():
    table = table_text(
        ("Line", "What", "Serial", "Amount"),
        [
            ("1", "Deck shell: bent", "10021", "642.50"),
            ("2", "Cowl", "10022", "1,320.00"),
        ],
        [("", "In all", "", "USD 1,962.50")],
    )
    letter = dataclasses.replace(LETTER, paragraphs=("Before.", table, "After."))
    data = letter_pdf(letter)
    text = text_of(data)
    for said in ("Deck shell: bent", "10022", "642.50", "1,320.00", "USD 1,962.50"):
        assert text.count(said) == 1
    assert "|" not in text
    starts = starting_at(data)
    assert starts["1,320.00"] < starts["642.50"]  # the shorter one begins further right
    assert starts["10021"] == starts["10022"]


def starting_at(data):
    """Return where each piece of text on the first page begins, from the left."""
    found = {}

    def visit(text, _current, matrix, _font, _size):
        found.setdefault(text.strip(), matrix[4])

    PdfReader(BytesIO(data)).pages[0].extract_text(visitor_text=visit)
    return found


def test_what_only_looks_like_a_table_is_printed_as_written():
    letter = dataclasses.replace(LETTER, paragraphs=("| A | B\n| 1",))
    assert "| A | B" in text_of(letter_pdf(letter))
