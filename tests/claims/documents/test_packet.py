"""The packet says all it must, looks whole, and is the same bytes anywhere."""

import dataclasses
import hashlib
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from claims.documents.packet import packet_pdf
from claims.rules.packet.content import Row, Schedule, Step, from_json, to_json
from inventory.documents.core.pictures import PictureError
from tests.claims.documents.sample import WORDS, replace, sample_packet

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


@pytest.fixture
def content(tmp_path):
    return sample_packet(tmp_path)


def words_of(data):
    """Return the text of every page, its line breaks made spaces."""
    pages = PdfReader(BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def test_says_what_identifies_the_shipment_and_what_is_demanded(content, tmp_path):
    text = words_of(packet_pdf(content, root=tmp_path))
    for said in ("410-220871", "CBM-77120 of 6 March 2026", "USD 1,169.20"):
        assert said in text
    for part in ("(b)(1)", "(b)(2)", "(b)(3)"):
        assert f"49 CFR 370.3{part}" in text


def test_says_every_field_that_was_given(content, tmp_path):
    text = words_of(packet_pdf(content, root=tmp_path)).replace(" ", "")
    missing = [each for each in texts_in(content) if "".join(each.split()) not in text]
    assert missing == []


def texts_in(value, name=""):
    """Yield every text that a reader should find, but names of files and faces."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            if field.name not in {"picture", "faces", "paper", "ruler"}:
                yield from texts_in(getattr(value, field.name), field.name)
    elif isinstance(value, tuple):
        for each in value:
            yield from texts_in(each, name)
    elif isinstance(value, str) and value:
        yield value[:12] if name == "sha256" and len(value) == 64 else value


def test_lists_every_original_by_its_full_hash(content, tmp_path):
    text = words_of(packet_pdf(content, root=tmp_path))
    assert [e.sha256 for e in content.evidence if e.sha256 not in text] == []
    assert content.tree.root in text


def test_counts_its_pages(content, tmp_path):
    pages = PdfReader(BytesIO(packet_pdf(content, root=tmp_path))).pages
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in page.extract_text()


def test_says_once_that_it_is_no_legal_advice(content, tmp_path):
    text = words_of(packet_pdf(content, root=tmp_path))
    assert text.count("Nothing here is legal advice.") == 1


def test_has_an_outline_that_leads_to_the_pages_of_the_sections(content, tmp_path):
    reader = PdfReader(BytesIO(packet_pdf(content, root=tmp_path)))
    top = [each for each in reader.outline if not isinstance(each, list)]
    assert [each.title for each in top] == [
        "Claim statement",
        "Schedule of the loss",
        "Who claims, and why",
        "Exceptions on the delivery receipt",
        "Findings",
        "Documents",
        "Deadlines",
        "Chronology",
        "List of evidence",
        "About this claim file",
    ]
    for each in top:
        page = reader.pages[reader.get_destination_page_number(each)]
        assert each.title.upper() in page.extract_text()
    nested = [
        each.title for part in reader.outline if isinstance(part, list) for each in part
    ]
    assert nested == ["Finding 1. Mower deck, bent", "Finding 2. Engine cowl, cracked"]


def test_the_contents_name_the_page_of_each_section(content, tmp_path):
    reader = PdfReader(BytesIO(packet_pdf(content, root=tmp_path)))
    listed = reader.pages[1].extract_text().split("\n")
    for each in (each for each in reader.outline if not isinstance(each, list)):
        page = reader.get_destination_page_number(each) + 1
        assert listed[listed.index(each.title) + 1] == str(page)


def test_same_bytes_twice_and_from_another_folder(content, tmp_path):
    first = packet_pdf(content, root=tmp_path)
    elsewhere = tmp_path / "another" / "folder with spaces"
    again = sample_packet(elsewhere)
    assert packet_pdf(content, root=tmp_path) == first
    assert packet_pdf(again, root=elsewhere) == first


def test_same_bytes_from_another_process_and_working_folder(content, tmp_path):
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


def test_other_content_gives_other_bytes(content, tmp_path):
    other = replace(content, amount="1,169.21")
    assert packet_pdf(other, root=tmp_path) != packet_pdf(content, root=tmp_path)


def test_copies_the_pictures_unchanged_and_names_no_folder(content, tmp_path):
    data = packet_pdf(content, root=tmp_path)
    for entry in content.findings:
        for photo in entry.photos:
            assert (tmp_path / photo.picture.path).read_bytes() in data
    assert str(tmp_path).encode() not in data


def test_refuses_a_picture_that_has_changed(content, tmp_path):
    path = tmp_path / content.findings[0].photos[0].picture.path
    path.write_bytes(path.read_bytes() + b"x")
    with pytest.raises(PictureError, match="has changed"):
        packet_pdf(content, root=tmp_path)


def test_refuses_a_picture_that_is_missing(content, tmp_path):
    (tmp_path / content.findings[0].photos[0].picture.path).unlink()
    with pytest.raises(PictureError, match="is missing"):
        packet_pdf(content, root=tmp_path)


@pytest.mark.parametrize("words", HOSTILE)
def test_prints_markup_as_words(content, tmp_path, words):
    finding = dataclasses.replace(
        content.findings[0], facts=words, title=words, subject=words
    )
    hostile = replace(
        dataclasses.replace(content, findings=(finding,)), assertion=words
    )
    text = words_of(packet_pdf(hostile, root=tmp_path))
    assert text.count(words) >= 4


def test_prints_ten_thousand_characters_without_loss(content, tmp_path):
    long = " ".join(f"word{n:05d}" for n in range(1000))
    event = dataclasses.replace(content.chronology[0], what=long[:5_000])
    receipt = dataclasses.replace(content.exceptions[0], words=long)
    changed = dataclasses.replace(content, chronology=(event,), exceptions=(receipt,))
    text = words_of(packet_pdf(changed, root=tmp_path))
    assert all(word in text for word in long.split())


def test_one_word_of_ten_thousand_letters_is_broken_not_lost(content, tmp_path):
    receipt = dataclasses.replace(content.exceptions[0], words="x" * 10_000)
    changed = dataclasses.replace(content, exceptions=(receipt,))
    text = words_of(packet_pdf(changed, root=tmp_path))
    assert text.count("x") >= 10_000


def test_names_the_characters_it_cannot_print(content, tmp_path):
    receipt = dataclasses.replace(content.exceptions[0], words="crate \U0001f600 箱")
    event = dataclasses.replace(content.chronology[0], what="seal 封")
    changed = dataclasses.replace(content, exceptions=(receipt,), chronology=(event,))
    text = words_of(packet_pdf(changed, root=tmp_path))
    for named in ("U+1F600 grinning face", "U+7BB1", "U+5C01"):
        assert named in text


def test_sets_letter_and_a4(content, tmp_path):
    for paper, size in (("letter", (612, 792)), ("a4", (595, 842))):
        sized = dataclasses.replace(content, paper=paper)
        box = PdfReader(BytesIO(packet_pdf(sized, root=tmp_path))).pages[0].mediabox
        assert (round(box.width), round(box.height)) == size


def test_leaves_out_sections_that_hold_nothing(content, tmp_path):
    bare = dataclasses.replace(
        content, findings=(), exceptions=(), deadlines=(), chronology=()
    )
    reader = PdfReader(BytesIO(packet_pdf(bare, root=tmp_path)))
    titles = [each.title for each in reader.outline]
    assert "Findings" not in titles
    assert "List of evidence" in titles


def test_says_where_nothing_was_written_on_the_receipt(content, tmp_path):
    receipt = dataclasses.replace(content.exceptions[0], words="")
    changed = dataclasses.replace(content, exceptions=(receipt,))
    text = words_of(packet_pdf(changed, root=tmp_path))
    assert "No exceptions were written." in text
    assert WORDS not in text
    assert "word for word" not in text


def test_draws_the_same_from_frozen_content(content, tmp_path):
    thawed = from_json(to_json(content))
    assert packet_pdf(thawed, root=tmp_path) == packet_pdf(content, root=tmp_path)


def test_leaves_no_page_nearly_empty_before_a_block_taller_than_a_page(
    content, tmp_path
):
    finding = dataclasses.replace(content.findings[0], facts="seen there " * 800)
    receipt = dataclasses.replace(content.exceptions[0], words="as written " * 800)
    changed = dataclasses.replace(content, findings=(finding,), exceptions=(receipt,))
    pages = PdfReader(BytesIO(packet_pdf(changed, root=tmp_path))).pages
    with_heading = [page.extract_text() for page in pages]
    assert any("FINDINGS" in page and "Finding 1." in page for page in with_heading)
    assert any(
        "EXCEPTIONS ON" in page and "as written" in page for page in with_heading
    )


def test_the_statement_and_its_signature_fill_the_first_page(content, tmp_path):
    facts = content.statement.shipment
    more = tuple(Row(f"Fact {n}", f"value {n}") for n in range(4))
    changed = replace(content, shipment=dataclasses.replace(facts, more=more))
    first, second, *_ = PdfReader(BytesIO(packet_pdf(changed, root=tmp_path))).pages
    assert "Mina Osterby, Manager" in first.extract_text()
    assert "In this claim file" in second.extract_text()


def test_a_signature_that_went_over_shares_its_page(content, tmp_path):
    changed = replace(content, remarks=("Held for inspection. " * 12,) * 8)
    pages = PdfReader(BytesIO(packet_pdf(changed, root=tmp_path))).pages
    (page,) = [
        p.extract_text() for p in pages if "In this claim file" in p.extract_text()
    ]
    assert "Mina Osterby, Manager" in page


def test_a_total_that_the_steps_already_end_with_is_not_said_twice(content, tmp_path):
    line = content.schedule.lines[0]
    steps = (*line.steps, Step("Loss on this line", line.amount, is_total=True))
    lines = (dataclasses.replace(line, steps=steps),)
    changed = dataclasses.replace(
        content, schedule=Schedule("", lines, content.schedule.worksheet[-1:])
    )
    text = words_of(packet_pdf(changed, root=tmp_path))
    assert text.count("905.90") == 1
