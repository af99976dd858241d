"""What is bound of an uploaded PDF is what draws, and nothing else comes along."""

import io
import uuid
from unittest.mock import patch

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfReader
from pypdf.generic import IndirectObject

from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.pictures import exhibits
from inventory.evidence.pictures.exhibits import ensure_page, pages_of
from inventory.evidence.pictures.renditions import hash_of
from inventory.evidence.store import originals as store
from inventory.rules.core.pictures import PdfPage
from tests import making
from tests.inventory.evidence.pictures import hostile_pdfs as hostile
from tests.making import ARRIVED
from tests.pictures import NO_PICTURE, jpeg
from tests.reading import read_photos

pytestmark = pytest.mark.database

NEVER = {
    "/A",
    "/AA",
    "/AcroForm",
    "/Alternates",
    "/Annots",
    "/EF",
    "/FS",
    "/JS",
    "/JavaScript",
    "/Launch",
    "/Metadata",
    "/Names",
    "/OpenAction",
    "/Outlines",
    "/PieceInfo",
    "/URI",
    "/XFA",
}


@pytest.fixture
def root(settings, tmp_path):
    settings.RENDITION_ROOT = tmp_path / "renditions"
    return settings.RENDITION_ROOT


@pytest.fixture
def keep(db):
    bill = making.make_shipment()

    def kept(data):
        return keep_evidence(
            person=making.some_person(),
            at=ARRIVED,
            upload=SimpleUploadedFile("bill.pdf", data),
            client_id=uuid.uuid4(),
            kind="freight-bill",
            shipment=bill,
        ).evidence

    return kept


def keys_in(thing, seen):
    """Return every key of every dictionary that can be reached."""
    if isinstance(thing, IndirectObject):
        if thing.idnum in seen:
            return set()
        seen.add(thing.idnum)
        thing = thing.get_object()
    if isinstance(thing, dict):
        inner = [keys_in(dict.__getitem__(thing, key), seen) for key in thing]
        return set(thing).union(*inner)
    if isinstance(thing, list):
        return set().union(*(keys_in(one, seen) for one in thing))
    return set()


@pytest.mark.one_in(6)
@pytest.mark.parametrize("name", hostile.CASES)
def test_a_hostile_pdf_is_bound_clean_or_named_with_a_reason(name, keep, root):
    make, reason = hostile.CASES[name]
    bound = pages_of(keep(make()))

    assert reason in bound.reason
    assert bool(bound.reason) == bool(reason)
    assert bool(bound.pages) == (not reason or reason.startswith("only"))
    for page in bound.pages[:3]:
        data = (root / page.path).read_bytes()
        read = PdfReader(io.BytesIO(data))
        assert hash_of(data) == page.sha256
        assert len(read.pages) == 1
        assert "Freight bill 4711" in read.pages[0].extract_text()
        assert not keys_in(read.trailer, set()) & NEVER
        assert b"evil" not in data


def test_there_are_forty_of_them():
    assert len(hostile.CASES) >= 40


def test_what_a_form_shows_is_bound_and_what_it_hides_is_not(keep, root):
    def text(data):
        (page,) = pages_of(keep(data)).pages
        return PdfReader(root / page.path).pages[0].extract_text()

    assert "Paid 12.50" in text(hostile.appearance())
    assert "Paid" not in text(hostile.appearance(b"/F 2"))


def test_a_turned_and_cropped_page_has_the_size_that_is_shown(keep, root):
    (page,) = pages_of(
        keep(hostile.plain(page=b"/Rotate 90 /CropBox [0 600 612 792]"))
    ).pages
    assert (page.width, page.height) == (192, 612)


def test_the_same_file_gives_the_same_pages(keep, root):
    row = keep(hostile.appearance())
    assert pages_of(row) == pages_of(row)


def test_a_file_is_taken_apart_once_and_again_where_a_page_is_gone(keep, root):
    row = keep(hostile.plain())
    (page,) = pages_of(row).pages
    with patch.object(exhibits, "_run_child", side_effect=AssertionError):
        assert pages_of(row).pages == (page,)
    (root / page.path).unlink()
    assert pages_of(row).pages == (page,)
    assert (root / page.path).exists()


def test_a_page_that_was_changed_on_the_disk_is_made_again(keep, root):
    row = keep(hostile.plain())
    (page,) = pages_of(row).pages
    path = root / page.path
    path.write_bytes(b"%PDF-1.7 another")
    ensure_page(row.original_id, page)
    assert hash_of(path.read_bytes()) == page.sha256


def test_a_changed_original_is_not_bound(keep, root):
    row = keep(hostile.plain(content=hostile.MARK + b" % changed later"))
    path = store.path_of(row.original_id)
    path.chmod(0o640)
    path.write_bytes(hostile.plain())
    assert pages_of(row).reason == "its original is missing or changed"
    path.unlink()


def test_a_photo_is_one_page_as_its_sealed_copy(keep, root):
    row = keep(jpeg((800, 600)))
    read_photos()
    bound = pages_of(row)
    assert [page.sha256 for page in bound.pages] == [row.readings.get().large_sha256]
    assert not isinstance(bound.pages[0], PdfPage)


def test_a_photo_that_cannot_be_read_says_so(keep, root):
    assert pages_of(keep(NO_PICTURE)).reason == "the photo cannot be read"
