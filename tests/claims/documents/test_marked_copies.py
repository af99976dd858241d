"""Marks are drawn over a photo in a document, and its caption names the original."""

import dataclasses
import shutil
import subprocess
from functools import cache
from io import BytesIO

import pytest
from PIL import Image, ImageChops
from pypdf import PdfReader

from claims.documents.packet import packet_pdf
from inventory.documents.papers.returns import return_paper_pdf
from inventory.rules.evidence.markup import Mark
from inventory.rules.returns.papers import Party, ReturnPaper, Section, Shot
from tests.claims.documents.sample import sample_packet, write_pictures

CIRCLE = Mark("circle", 300, 300, 700, 700)
DPI = 72


@pytest.fixture(scope="module")
def root(tmp_path_factory):
    """Return the folder of the sample's pictures, which no test changes."""
    return tmp_path_factory.mktemp("sample")


@pytest.fixture(scope="module")
def content(root):
    return sample_packet(root)


@pytest.fixture(scope="module")
def plain(content, root):
    return packet_pdf(with_marks(content), root=root)


@pytest.fixture(scope="module")
def marked(content, root):
    return packet_pdf(with_marks(content, CIRCLE), root=root)


def with_marks(content, *marks):
    """Return the content with marks on its first photo."""
    first = dataclasses.replace(content.exhibits[0], marks=marks)
    return dataclasses.replace(content, exhibits=(first, *content.exhibits[1:]))


@cache
def pages_of(data):
    return [
        " ".join(page.extract_text().split()) for page in PdfReader(BytesIO(data)).pages
    ]


def picture_of(data, number, folder):
    """Return one page as a picture, a pixel a point."""
    pdftoppm = shutil.which("pdftoppm")
    assert pdftoppm, "pdftoppm is needed to look at a page; it comes with poppler-utils"
    folder.mkdir(exist_ok=True)
    (folder / "a.pdf").write_bytes(data)
    only = ["-f", str(number), "-l", str(number)]
    subprocess.run(
        [pdftoppm, *only, "-r", str(DPI), "-png", folder / "a.pdf", folder / "a"],
        check=True,
    )
    (page,) = folder.glob("a-*.png")
    return Image.open(page).convert("L").copy()


def page_with(data, words):
    return next(n for n, text in enumerate(pages_of(data), start=1) if words in text)


def both_pages(before, after, folder):
    """Return the page with the first photo, before and after, as pictures."""
    caption = "Crate 1 of 2, top corner of side 2"
    number = page_with(before, caption)
    assert page_with(after, caption) == number
    return [
        picture_of(data, number, folder / name)
        for name, data in (("before", before), ("after", after))
    ]


def test_the_circle_is_drawn_where_it_was_marked_and_nowhere_else(
    plain, marked, tmp_path
):
    one, other = both_pages(plain, marked, tmp_path)
    # The caption below grew by a line; only the picture is compared.
    box = picture_box(one)
    cut = [page.crop(box) for page in (one, other)]
    left, top, right, bottom = ImageChops.difference(*cut).getbbox()

    # Its box is 30 to 70 % each way; the halo is 0.75 % of the width to each side.
    wide, high = cut[0].size
    slack = wide * 0.0075 + 2
    for found, wanted in (
        (left, wide * 0.3),
        (right, wide * 0.7),
        (top, high * 0.3),
        (bottom, high * 0.7),
    ):
        assert abs(found - wanted) <= slack


def picture_box(page):
    """Return the box of the picture: the highest block of rows without any white."""
    wide, high = page.size
    run = best = ()
    for y in range(high):
        is_dark = page.crop((80, y, 300, y + 1)).getextrema()[1] < 250
        run = (*run, y) if is_dark else ()
        best = max(best, run, key=len)
    middle = best[len(best) // 2]
    dark = [x for x in range(wide) if page.getpixel((x, middle)) < 250]
    return min(dark), best[0], max(dark) + 1, best[-1] + 1


@pytest.mark.slow
def test_white_lies_under_black_on_any_photo(plain, marked, tmp_path):
    before, page = both_pages(plain, marked, tmp_path)
    left, top, right, bottom = picture_box(before)
    y = (top + bottom) // 2
    at = left + round((right - left) * 0.3)
    dark, light = page.crop((at - 6, y, at + 7, y + 1)).getextrema()
    assert dark < 60
    assert light > 225


def test_the_caption_of_a_marked_copy_names_the_untouched_original(
    content, plain, marked
):
    text = " ".join(pages_of(marked))
    sha = content.exhibits[0].sha256
    assert f"Marked copy. Original: SHA-256 {sha[:12]}..., file IMG_1.jpg." in text
    assert "Marks are drawn on copies only" in text
    assert "Marked copy." not in " ".join(pages_of(plain))


def test_words_and_lengths_are_text_in_the_document(content, root):
    words = Mark("words", 100, 100, 100, 100, "Slat <broken> through")
    ruler = Mark("measure", 100, 800, 900, 800, "3 1/2", "in")
    text = " ".join(pages_of(packet_pdf(with_marks(content, words, ruler), root=root)))
    assert "Slat <broken> through" in text
    assert "3 1/2 in" in text


def test_what_the_face_lacks_is_named_below(content, root):
    words = Mark("words", 100, 100, 100, 100, "\u7bb1 wet")
    text = " ".join(pages_of(packet_pdf(with_marks(content, words), root=root)))
    assert "marks what this typeface cannot print: U+7BB1" in text


def test_the_picture_itself_goes_out_unchanged(content, marked, root):
    picture = root / content.exhibits[0].source[0].path
    assert picture.read_bytes() in marked
    assert packet_pdf(with_marks(content, CIRCLE), root=root) == marked


def test_a_letter_draws_the_marks_too(tmp_path):
    photo = write_pictures(tmp_path)[0]

    def letter(*marks):
        shot = Shot(photo.source[0], "Load", marks)
        paper = ReturnPaper(
            title="Short-paid crate credit: ",
            number="RK-1",
            date="March 12, 2026",
            sender=Party("Us"),
            addressee=Party("Them"),
            facts=(),
            sections=(),
            proof=(Section("Photos", (shot,)),),
            is_letter=True,
        )
        return return_paper_pdf(paper, root=tmp_path)

    one = picture_of(letter(), 1, tmp_path / "one")
    other = picture_of(letter(CIRCLE), 1, tmp_path / "other")
    assert ImageChops.difference(one, other).getbbox() is not None
