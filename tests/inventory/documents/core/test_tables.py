"""Tables keep every word, and their rows fit a page."""

from io import BytesIO

from pypdf import PdfReader

from inventory.documents.core import styles
from inventory.documents.core.around import PageText
from inventory.documents.core.page import build_pdf, section
from inventory.documents.core.tables import Column, ruled_table

AROUND = PageText("Title", "Us", "left", "right", "foot", "letter", made_on=None)
COLUMNS = (Column("When", 30), Column("What", 70, right=True))


def pages_of(rows, **how):
    def story(_pages):
        table = ruled_table(COLUMNS, rows, styles.text_width("letter"), **how)
        return section("Rows", table, "letter")

    reader = PdfReader(BytesIO(build_pdf(story, AROUND)))
    return [page.extract_text() for page in reader.pages]


def test_a_table_without_a_head_leaves_the_rule_to_its_heading():
    bare = (Column("", 30), Column("", 70))
    table = ruled_table(bare, [["a", "b"], ["c", "d"]], 400)
    rules = [line for line in table[0]._linecmds if line[0] == "LINEABOVE"]
    assert {line[1][1] for line in rules} == {0, 1}
    section("Rows", table, "letter")
    rules = [line for line in table[0]._linecmds if line[0] == "LINEABOVE"]
    assert {line[1][1] for line in rules} == {1}


def test_the_head_is_repeated_on_every_page():
    pages = pages_of([[str(n), f"thing {n}"] for n in range(120)])
    assert len(pages) > 2
    assert all("When" in page and "What" in page for page in pages)


def test_a_cell_taller_than_a_page_goes_on():
    long = " ".join(f"w{n:04d}" for n in range(990))
    pages = pages_of([["now", long], ["then", "short"]])
    text = " ".join(pages)
    assert len(pages) > 1
    assert all(word in text for word in long.split())
    assert "short" in pages[-1]


def test_markup_in_a_cell_is_words():
    assert "<torn> <b &amp;" in pages_of([["x", "<torn> <b &amp;"]])[0]


def test_totals_are_kept_with_their_words():
    (page,) = pages_of([["a", "1.00"], ["sum", "1.00"]], totals=frozenset({1}))
    assert "sum" in page


def test_a_heading_never_stands_alone_at_the_foot():
    for filler in range(30, 46):

        def story(_pages, filler=filler):
            width = styles.text_width("letter")
            first = ruled_table(COLUMNS, [["f", "f"]] * filler, width)
            last = ruled_table(COLUMNS, [["lastly", "this"]], width)
            return [*first, *section("Second part", last, "letter")]

        reader = PdfReader(BytesIO(build_pdf(story, AROUND)))
        pages = [page.extract_text() for page in reader.pages]
        (page,) = [page for page in pages if "SECOND PART" in page]
        assert "lastly" in page
