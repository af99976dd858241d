"""What is written object by object is what ReportLab writes, and agrees with itself."""

import io
from datetime import date

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import PageBreak, Spacer

from inventory.documents.core import styles
from inventory.documents.core.around import PageText
from inventory.documents.core.attachments import Attachment
from inventory.documents.core.page import Heading, PagesError, build_pdf
from inventory.documents.core.text import P
from inventory.documents.core.written import WrittenCanvas

TEXT = PageText("Title", "We", "We", "It", "Foot", "letter", made_on=date(2026, 3, 1))


def drawn(kind):
    out = io.BytesIO()
    canvas = kind(out, pagesize=(300, 300), invariant=1, lang="en-US")
    for number in range(1, 40):
        canvas.setFont("Times-Roman", 9)
        canvas.drawString(20, 20, f"Page {number}: Übergabe")
        canvas.bookmarkPage(f"page {number}")
        canvas.addOutlineEntry(f"Page {number}", f"page {number}")
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def test_the_bytes_are_those_of_the_library_itself():
    assert drawn(WrittenCanvas) == drawn(Canvas)


def long_after(pages, left_out):
    """A table of contents, and three chapters that the first build may leave out."""
    told = [
        f"{name} on {page} of {pages.total}" for name, page in pages.headings.items()
    ]
    story = [Heading("Contents"), *P("\n".join(told) or "-", styles.BODY)]
    for name in ("One", "Two", "Three"):
        story += [PageBreak(), Heading(name)]
        if pages.total or not left_out:
            story += [Spacer(1, 500), *P("Words. " * 300, styles.BODY)]
    return story


def test_a_story_that_leaves_out_too_much_is_drawn_again_with_the_right_pages():
    whole = build_pdf(lambda pages: long_after(pages, left_out=False), TEXT)
    guessed = build_pdf(lambda pages: long_after(pages, left_out=True), TEXT)

    assert guessed == whole
    first, *others = [
        page.extract_text() for page in PdfReader(io.BytesIO(whole)).pages
    ]
    assert len(others) == 6
    for name, page in (("One", 2), ("Two", 4), ("Three", 6)):
        assert f"{name} on {page} of 7" in first
        assert name.upper() in others[page - 2]


def test_a_document_that_never_agrees_with_itself_is_refused():
    with pytest.raises(PagesError):
        build_pdf(
            lambda pages: [PageBreak(), Spacer(1, 9)] * (pages.total % 7 + 2), TEXT
        )


def test_attached_files_are_found_by_another_reader():
    data = bytes(range(256)) * 9
    files = [
        Attachment("b.bin", "text/x-python", "/Data", "It (is) \\ so", data),
        Attachment("a ä.json", "application/json", "/Supplement", "Äpfel", b"{}"),
    ]
    story = lambda _: P("Words", styles.BODY)  # noqa: E731
    made = build_pdf(story, TEXT, files)

    read = PdfReader(io.BytesIO(made), strict=True)
    assert read.pdf_header == "%PDF-1.7"
    assert read.attachments == {"b.bin": [data], "a ä.json": [b"{}"]}
    related = [one.get_object() for one in read.root_object["/AF"]]
    assert [one["/Desc"] for one in related] == ["It (is) \\ so", "Äpfel"]
    assert [one["/AFRelationship"] for one in related] == ["/Data", "/Supplement"]
    kinds = [one["/EF"]["/F"]["/Subtype"] for one in related]
    assert kinds == ["/text/x-python", "/application/json"]
    assert data in made
    assert build_pdf(story, TEXT, files) == made
