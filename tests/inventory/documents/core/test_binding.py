"""Pages of uploaded files are bound into our pages: stamped, numbered, the same twice."""

import io
import tracemalloc

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import PageBreak

from inventory.documents.core import styles
from inventory.documents.core.around import PageText
from inventory.documents.core.page import build_pdf
from inventory.documents.core.pictures import PageBox, PictureError
from inventory.documents.core.text import P
from inventory.rules.core.pictures import PdfPage
from tests.inventory.evidence.pictures import hostile_pdfs as hostile

COUNT = 30
MOST_MEMORY = 60_000_000


def one_page(number, turn=0):
    """Return a page as the child process gives it: with a large font-like stream."""
    from inventory.evidence.pictures.pdf_pages import page_alone

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(612, 792), invariant=1)
    canvas.drawString(72, 700, f"Scanned page {number}")
    canvas.save()
    page = PdfReader(io.BytesIO(out.getvalue())).pages[0]
    return page_alone({**page, "/Rotate": turn})


def kept(folder, number, turn=0):
    from hashlib import sha256

    made = one_page(number, turn)
    (folder / f"{number}.pdf").write_bytes(made["pdf"])
    digest = sha256(made["pdf"]).hexdigest()
    return PdfPage(digest, f"{number}.pdf", made["width"], made["height"])


def document(pages, root):
    text = PageText("Exhibits", "Us", "Us", "PRO 1", "Exhibits", "letter", made_on=None)
    width = styles.text_width("letter")

    def story(_pages):
        made = []
        for number, page in enumerate(pages, start=1):
            made += [
                *P(f"EXHIBIT 3, page {number} of {len(pages)}", styles.LEAD),
                PageBox(page, root, width, 560),
                PageBreak(),
            ]
        return made

    return build_pdf(story, text)


def test_thirty_pages_are_bound_with_stamps_and_numbers(tmp_path):
    pages = [kept(tmp_path, number) for number in range(1, COUNT + 1)]

    tracemalloc.start()
    data = document(pages, tmp_path)
    used = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    read = PdfReader(io.BytesIO(data))
    assert len(read.pages) == COUNT
    for number, page in enumerate(read.pages, start=1):
        said = page.extract_text()
        assert f"Scanned page {number}" in said
        assert f"EXHIBIT 3, page {number} of {COUNT}" in said
        assert f"Page {number} of {COUNT}" in said
    assert used < MOST_MEMORY, used
    assert document(pages, tmp_path) == data


def test_what_pages_share_is_in_the_file_once(tmp_path):
    pages = [kept(tmp_path, number) for number in range(1, 21)]
    font = b"/BaseFont /Helvetica "
    one, many = document(pages[:1], tmp_path), document(pages, tmp_path)
    assert many.count(font) == one.count(font) > 0


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_turned_page_is_put_upright_into_its_frame(tmp_path, turn):
    page = kept(tmp_path, 7, turn)
    assert (page.width > page.height) == (turn in {90, 270})
    read = PdfReader(io.BytesIO(document([page], tmp_path)))
    assert "Scanned page 7" in read.pages[0].extract_text()


def test_a_page_that_was_changed_is_not_bound(tmp_path):
    page = kept(tmp_path, 1)
    (tmp_path / page.path).write_bytes(hostile.plain())
    with pytest.raises(PictureError, match="has changed"):
        document([page], tmp_path)
