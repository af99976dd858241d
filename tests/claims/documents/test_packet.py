"""The packet says all it must, looks whole, and is the same bytes anywhere."""

import dataclasses
import hashlib
import subprocess
import sys
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from claims.documents.packet import packet_pdf
from claims.rules.packet.content import from_json, to_json
from claims.rules.packet.manifest import Manifest
from inventory.documents.core.pictures import PictureError
from tests.claims.documents.sample import WORDS, replace, sample_packet

MANIFEST = Manifest(size=412, root="0" * 64, originals=())
HOUSE = Path(__file__).parents[3]
HOSTILE = (
    "<b",
    "label says <torn>",
    "<!-- x -->",
    '<img src="/etc/hostname">',
    "if a<b then c & d > e",
    "<?php x ?>",
    "<![CDATA[gone]]>",
    "&amp; stays &amp;",
)


@pytest.fixture(scope="module")
def root(tmp_path_factory):
    """Return the folder of the sample's pictures, which no test changes."""
    return tmp_path_factory.mktemp("sample")


@pytest.fixture(scope="module")
def content(root):
    return sample_packet(root)


@pytest.fixture(scope="module")
def plain(content, root):
    """Return the sample as it is drawn, for all tests that only read it."""
    return packet_pdf(content, root=root)


@cache
def words_of(data):
    """Return the text of every page, its line breaks made spaces."""
    pages = PdfReader(BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def test_says_what_identifies_the_shipment_and_what_is_demanded(plain):
    text = words_of(plain)
    for said in ("410-220871", "CBM-77120, March 6, 2026", "USD 1,264.20", "is liable"):
        assert said in text


def test_says_every_field_that_was_given(content, root):
    listed = dataclasses.replace(content, manifest=MANIFEST, checker="# checks")
    data = packet_pdf(listed, root=root)
    text = words_of(data).replace(" ", "").casefold()
    given = texts_in(content)
    missing = [one for one in given if "".join(one.split()).casefold() not in text]
    assert missing == []


UNPRINTED = {
    *("source", "faces", "paper", "marks", "edition", "made_on", "manifest", "checker"),
    *("origin", "claim_number", "outcome", "name", "file"),
}
"""Names of files and faces, and what is printed within other words."""


def texts_in(value, name=""):
    """Yield every text that a reader should find, but names of files and faces."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            if field.name not in UNPRINTED:
                yield from texts_in(getattr(value, field.name), field.name)
    elif isinstance(value, tuple):
        for each in value:
            yield from texts_in(each, name)
    elif isinstance(value, str) and value:
        yield value


def test_lists_every_original_by_its_full_hash_and_the_value_to_type(content, root):
    listed = dataclasses.replace(content, manifest=MANIFEST, checker="# checks")
    text = words_of(packet_pdf(listed, root=root)).replace(" ", "")
    assert [e.sha256 for e in content.exhibits if e.sha256 not in text] == []
    assert content.tree.root in text
    assert "Eventsrecorded:412" in text


def test_counts_its_pages(plain):
    pages = PdfReader(BytesIO(plain)).pages
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in page.extract_text()


def test_has_an_outline_that_leads_to_the_pages_of_the_sections(plain):
    reader = PdfReader(BytesIO(plain))
    top = [each for each in reader.outline if not isinstance(each, list)]
    assert [each.title for each in top] == [
        "Letter",
        "Contents",
        "Claim statement",
        "Schedule of the loss",
        "Exceptions on the delivery receipt",
        "What was found",
        "Custody of the crate",
        *(f"Exhibit {number}" for number in range(1, 6)),
        "List of evidence",
    ]
    for each in top:
        page = reader.pages[reader.get_destination_page_number(each)]
        if each.title.startswith("Exhibit"):
            assert f"EXHIBIT{each.title[8:]}" in "".join(page.extract_text().split())
        elif each.title != "Letter":
            assert each.title in page.extract_text()


def test_same_bytes_twice_and_from_another_folder(content, plain, root, tmp_path):
    elsewhere = tmp_path / "another" / "folder with spaces"
    again = sample_packet(elsewhere)
    assert packet_pdf(content, root=root) == plain
    assert packet_pdf(again, root=elsewhere) == plain


@pytest.mark.slow
def test_same_bytes_from_another_process_and_working_folder(tmp_path):
    content = sample_packet(tmp_path)
    first = packet_pdf(content, root=tmp_path)
    (tmp_path / "frozen.json").write_text(to_json(content), encoding="utf-8")
    program = (
        f"import sys; sys.path.insert(0, {str(HOUSE)!r})\n"
        "from pathlib import Path\n"
        "from claims.documents.packet import packet_pdf\n"
        "from claims.rules.packet.content import from_json\n"
        "content = from_json(Path('frozen.json').read_text(encoding='utf-8'))\n"
        "sys.stdout.buffer.write(packet_pdf(content))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=tmp_path, capture_output=True, check=True
    )
    assert hashlib.sha256(done.stdout).digest() == hashlib.sha256(first).digest()


def test_other_content_gives_other_bytes(content, plain, root):
    other = replace(content, amount="1,169.21")
    assert packet_pdf(other, root=root) != plain


def test_copies_the_pictures_unchanged_and_names_no_folder(content, plain, root):
    for one in content.exhibits:
        for page in one.source:
            assert (root / page.path).read_bytes() in plain
    assert str(root).encode() not in plain


def test_refuses_a_picture_that_has_changed(tmp_path):
    content = sample_packet(tmp_path)
    path = tmp_path / content.exhibits[0].source[0].path
    path.write_bytes(path.read_bytes() + b"x")
    with pytest.raises(PictureError, match="has changed"):
        packet_pdf(content, root=tmp_path)


def test_refuses_a_picture_that_is_missing(tmp_path):
    content = sample_packet(tmp_path)
    (tmp_path / content.exhibits[0].source[0].path).unlink()
    with pytest.raises(PictureError, match="is missing"):
        packet_pdf(content, root=tmp_path)


@pytest.mark.one_in(4)
@pytest.mark.parametrize("words", HOSTILE)
def test_prints_markup_as_words(content, words, root):
    finding = dataclasses.replace(
        content.findings[0], facts=words, title=words, subject=words
    )
    hostile = replace(
        dataclasses.replace(content, findings=(finding,)), assertion=words
    )
    text = words_of(packet_pdf(hostile, root=root))
    assert text.count(words) >= 4


def test_prints_ten_thousand_characters_without_loss(content, root):
    long = " ".join(f"word{n:05d}" for n in range(1000))
    receipt = dataclasses.replace(content.receipts[0], words=long)
    changed = dataclasses.replace(content, receipts=(receipt,))
    text = words_of(packet_pdf(changed, root=root))
    assert all(word in text for word in long.split())


def test_one_word_of_ten_thousand_letters_is_broken_not_lost(content, root):
    receipt = dataclasses.replace(content.receipts[0], words="x" * 10_000)
    changed = dataclasses.replace(content, receipts=(receipt,))
    text = words_of(packet_pdf(changed, root=root))
    assert text.count("x") >= 10_000


def test_names_the_characters_it_cannot_print(content, root):
    receipt = dataclasses.replace(content.receipts[0], words="crate \U0001f600 箱")
    exhibit = dataclasses.replace(content.exhibits[0], title="seal 封")
    changed = dataclasses.replace(content, receipts=(receipt,), exhibits=(exhibit,))
    text = words_of(packet_pdf(changed, root=root))
    for named in ("U+1F600 grinning face", "U+7BB1", "U+5C01"):
        assert named in text


def test_sets_letter_and_a4(content, root):
    for paper, size in (("letter", (612, 792)), ("a4", (595, 842))):
        sized = dataclasses.replace(content, paper=paper)
        box = PdfReader(BytesIO(packet_pdf(sized, root=root))).pages[0].mediabox
        assert (round(box.width), round(box.height)) == size


def test_leaves_out_sections_that_hold_nothing(content, root):
    bare = dataclasses.replace(content, findings=(), receipts=(), custody=())
    reader = PdfReader(BytesIO(packet_pdf(bare, root=root)))
    titles = [each.title for each in reader.outline if not isinstance(each, list)]
    assert "What was found" not in titles
    assert "List of evidence" in titles


def test_says_where_nothing_was_written_on_the_receipt(content, root):
    receipt = dataclasses.replace(content.receipts[0], words="")
    changed = dataclasses.replace(content, receipts=(receipt,))
    text = words_of(packet_pdf(changed, root=root))
    assert "No exceptions were written." in text
    assert WORDS not in text
    assert "word for word" not in text


def test_draws_the_same_from_frozen_content(content, plain, root):
    thawed = from_json(to_json(content))
    assert packet_pdf(thawed, root=root) == plain


def test_leaves_no_page_nearly_empty_before_a_block_taller_than_a_page(content, root):
    finding = dataclasses.replace(content.findings[0], facts="seen there " * 800)
    receipt = dataclasses.replace(content.receipts[0], words="as written " * 800)
    changed = dataclasses.replace(content, findings=(finding,), receipts=(receipt,))
    pages = PdfReader(BytesIO(packet_pdf(changed, root=root))).pages
    with_heading = [page.extract_text() for page in pages]
    assert any(
        "What was found" in page and "Finding 1." in page for page in with_heading
    )
    assert any(
        "Exceptions on" in page and "as written" in page for page in with_heading
    )


def page_of(data, words):
    """Return the text of the first page that holds these words."""
    pages = PdfReader(BytesIO(data)).pages
    return next(
        text
        for page in pages
        if words in (text := " ".join(page.extract_text().split()))
    )


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_statement_is_one_page_with_its_signature_and_a_date(content, paper, root):
    sized = dataclasses.replace(content, paper=paper)
    page = page_of(packet_pdf(sized, root=root), "How the amount is made up")
    for said in (
        "Claim statement",
        "GNVR",
        "No other claim for this loss",
        "I certify that this statement is correct.",
        "Mina Osterby, Manager, 515 555 0120",
        "Date signed",
    ):
        assert said in page, said


def test_the_letter_is_one_page_with_payee_and_signature(plain):
    first = page_of(plain, "To the claims department")
    for said in ("Pay to", "Attn: Abel Quist", "Enclosed", "Date signed", "claimant"):
        assert said in first, said


def test_every_page_of_a_draft_says_so_and_none_of_a_confirmed_one(
    content, plain, root
):
    mark = "DRAFT: not confirmed, not to be sent"
    draft = PdfReader(BytesIO(packet_pdf(content, root=root, mark=mark))).pages
    assert all(mark in page.extract_text() for page in draft)
    assert "DRAFT" not in words_of(plain)


def test_its_date_is_the_day_on_which_it_was_frozen(plain):
    made = PdfReader(BytesIO(plain)).metadata
    assert made.creation_date.date().isoformat() == "2026-03-17"
    assert made.modification_date.date().isoformat() == "2026-03-17"


def test_an_exhibit_of_several_pages_has_its_stamp_on_each(content, root):
    first, second, *rest = content.exhibits
    whole = dataclasses.replace(first, source=(*first.source, *second.source), pages=2)
    changed = dataclasses.replace(content, exhibits=(whole, *rest))
    data = packet_pdf(changed, root=root)
    assert "page 2 of 2" in page_of(data, "page 2 of 2")
    texts = [page.extract_text() for page in PdfReader(BytesIO(data)).pages]
    stamped = [text for text in texts if "EXHIBIT" in text.replace(" ", "")]
    assert len(stamped) == 5


def test_what_is_not_bound_in_is_listed_with_its_file_and_hash(content, plain):
    page = page_of(plain, "005-bill.pdf")
    assert "Bill of lading: copy; the original is held by the carrier" in page
    flat = page.replace(" ", "")
    assert content.exhibits[4].sha256 in flat


def test_a_hand_over_demands_nothing_and_is_not_our_claim(content, root):
    letter = dataclasses.replace(content.cover, demand="", pay_to=())
    given = dataclasses.replace(
        replace(content, claimant=content.statement.carrier),
        edition="hand-over",
        cover=letter,
        title="Hand-over QN-2026-0007",
    )
    text = words_of(packet_pdf(given, root=root))
    assert "Record of the loss" in text
    for never in ("Amount claimed USD", "is liable", "claimant", "I certify", "Pay to"):
        assert never not in text, never


@pytest.mark.one_in(2)
@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("count", [1, 40])
def test_one_and_forty_photos_each_have_a_page_with_its_number(
    content, count, paper, root
):
    photo = content.exhibits[0]
    many = tuple(
        dataclasses.replace(photo, number=number, pages=1)
        for number in range(1, count + 1)
    )
    changed = dataclasses.replace(content, exhibits=many, paper=paper)
    reader = PdfReader(BytesIO(packet_pdf(changed, root=root)))
    top = [each.title for each in reader.outline if not isinstance(each, list)]
    assert [t for t in top if t.startswith("Exhibit ")] == [
        f"Exhibit {number}" for number in range(1, count + 1)
    ]
    listed = (page.extract_text() for page in reader.pages)
    assert any(f"{count} exhibit" in " ".join(text.split()) for text in listed)
