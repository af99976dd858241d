"""Renditions: upright, without EXIF, made again when missing; hostile files harmless."""

import io
import json
import shutil

import pytest
from PIL import Image

from inventory.evidence.pictures import decode, renditions
from inventory.evidence.store import originals as store
from tests.pictures import jpeg, png, turned_jpeg

pytestmark = pytest.mark.decoder


@pytest.fixture(autouse=True)
def roots(tmp_path, settings):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.RENDITION_ROOT = tmp_path / "renditions"


def read(data):
    stored = store.store_original([data], limit=50_000_000)
    return stored.sha256, renditions.read_picture(stored.sha256)


def test_a_photo_is_turned_upright_and_loses_its_exif():
    sha256, _ = read(turned_jpeg())

    with Image.open(renditions.rendition_path(sha256, 1600)) as made:
        assert made.size == (480, 640)
        assert dict(made.getexif()) == {}


def test_the_cameras_claims_are_read():
    _, reading = read(turned_jpeg())

    assert reading.claims == {
        "taken": "2026:03:10 10:31:00",
        "offset": "-05:00",
        "make": "Larkfone",
        "model": "Larkfone 4",
        "latitude": "41.47000",
        "longitude": "-91.58000",
    }


def test_the_small_one_is_at_most_320_px():
    sha256, _ = read(jpeg((4000, 3000)))

    with Image.open(renditions.rendition_path(sha256, 320)) as small:
        assert small.size == (320, 240)
    with Image.open(renditions.rendition_path(sha256, 1600)) as large:
        assert large.size == (2000, 1500)


def test_a_see_through_png_gets_a_white_ground():
    sha256, reading = read(png())

    assert reading.trouble == ""
    with Image.open(renditions.rendition_path(sha256, 1600)) as made:
        assert made.mode == "RGB"


def test_a_missing_rendition_is_made_again():
    sha256, _ = read(jpeg())
    path = renditions.rendition_path(sha256, 320)
    shutil.rmtree(path.parent)

    assert renditions.ensure_rendition(sha256, 320) == path
    assert path.exists()


def made_by(version, data):
    """Return both copies as a version of the decoder makes them, in this process."""
    told = decode.answer(data, "", version)
    facts, _, rest = told.partition(b"\n")
    large = json.loads(facts)["lengths"][0]
    return rest[:large], rest[large:]


@pytest.mark.slow
def test_a_copy_that_the_version_before_made_is_made_again_as_it_was():
    sha256, reading = read(jpeg((4000, 3000)))
    before = made_by(decode.FORMER, jpeg((4000, 3000)))
    assert (
        before[0]
        != reading.pictures[0]
        == made_by(decode.VERSION, jpeg((4000, 3000)))[0]
    )
    for size, data in zip(renditions.SIZES, before, strict=True):
        sealed = {renditions.hash_of(data)}
        assert renditions.sealed_rendition(sha256, size, sealed) == data
        assert renditions.rendition_path(sha256, size).read_bytes() == data


@pytest.mark.slow
def test_a_copy_that_no_version_makes_is_shown_and_not_printed():
    sha256, reading = read(jpeg((4000, 3000)))

    assert renditions.shown_rendition(sha256, 1600, {"0" * 64}) == reading.pictures[0]
    with pytest.raises(renditions.UnsealedPictureError):
        renditions.sealed_rendition(sha256, 1600, {"0" * 64})


HOSTILE = {
    "cut in half": jpeg((2000, 1500))[:4000],
    "header only": b"\xff\xd8\xff\xe0" + b"\0" * 60,
    "svg named as a photo": b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    "eps": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n",
}


@pytest.mark.parametrize("data", HOSTILE.values(), ids=HOSTILE)
def test_a_broken_file_is_trouble_and_not_a_failure(data):
    sha256, reading = read(data)

    assert reading.trouble
    assert renditions.ensure_rendition(sha256, 320) is None
    assert store.is_intact(sha256)


def test_a_huge_phone_photo_still_gets_a_preview():
    image = Image.new("L", (16_320, 12_240), 120)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=30)

    sha256, reading = read(out.getvalue())

    assert reading.trouble == ""
    assert renditions.rendition_path(sha256, 320).exists()
