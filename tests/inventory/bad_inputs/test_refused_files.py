"""Files that are not kept: each gets its status and a sentence, and leaves nothing."""

import hashlib

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory.evidence.store import originals as store
from inventory.models import Evidence
from tests.inventory.bad_inputs import files
from tests.pictures import heic, jpeg, webp

pytestmark = pytest.mark.database

ALLOWED = "Send JPEG, PNG, WebP or HEIC photos, and PDF documents."

ROWS = [
    # number, how it is made, its name, status, words of the answer
    ("F1", lambda: b"", "photo.jpg", 422, "The file is empty"),
    ("F2", lambda: b"\xff\xd8", "photo.jpg", 422, "This is not a photo"),
    ("F3", lambda: jpeg((2000, 1500))[:5000], "photo.jpg", 422, "incomplete"),
    ("F3 in its headers", lambda: jpeg()[:4], "photo.jpg", 422, "incomplete"),
    ("F4", lambda: jpeg((2000, 1500))[:-2], "photo.jpg", 422, "incomplete"),
    ("F4 PNG", lambda: files.flat_png(40, 40)[:-5], "photo.png", 422, "incomplete"),
    ("F4 WebP", lambda: webp()[:-1], "photo.webp", 422, "incomplete"),
    (
        "F6",
        lambda: files.flat_png(50_000, 50_000, bits=1),
        "photo.png",
        422,
        "too many pixels",
    ),
    ("F7", lambda: files.flat_png(12_000, 12_000), "photo.png", 422, "too many pixels"),
    ("F8", lambda: files.png_of(65_500, 65_500), "photo.png", 422, "too many pixels"),
    (
        "F9",
        lambda: files.png_of(2**31 - 1, 2**31 - 1),
        "photo.png",
        422,
        "too many pixels",
    ),
    ("F10", lambda: files.png_of(0, 400), "photo.png", 422, "has no size"),
    ("F17", files.bad_crc, "photo.png", 422, "is damaged"),
    ("F18 GIF", files.gif, "photo.gif", 415, ALLOWED),
    ("F20", files.tiff, "photo.tif", 415, ALLOWED),
    ("F23", lambda: heic()[:400], "photo.heic", 422, "incomplete"),
    ("F23 tail", lambda: heic()[:-1], "photo.heic", 422, "incomplete"),
    ("F25", lambda: files.AVIF, "photo.avif", 415, ALLOWED),
    ("F25 shared brand", lambda: files.AVIF_AS_MIF1, "photo.heic", 415, ALLOWED),
    ("F26", lambda: files.JP2, "photo.jp2", 415, ALLOWED),
    ("F27", lambda: files.SVG, "photo.jpg", 415, ALLOWED),
    ("F28", lambda: files.HTML, "photo.jpg", 415, ALLOWED),
    ("F31 EPS", lambda: files.EPS, "photo.jpg", 415, ALLOWED),
    ("F39", lambda: jpeg() + bytes(60_000_000), "photo.jpg", 413, "larger than 25 MB"),
    ("F41", lambda: files.MOV, "live.mov", 415, ALLOWED),
    ("F41 MP4", lambda: files.MP4, "photo.jpg", 415, ALLOWED),
    ("F42", lambda: files.ZIP, "photos.zip", 415, ALLOWED),
    ("F43", lambda: files.EXE, "photo.exe", 415, ALLOWED),
    ("F44", lambda: files.tiff() + bytes(80_000_000), "photo.dng", 415, ALLOWED),
    ("F44 pages", lambda: files.tiff(10_000), "photo.tif", 415, ALLOWED),
]


@pytest.mark.one_in(3)
@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_it_is_refused_plainly_and_leaves_nothing(house, row):
    number, make, name, status, words = row
    data = make()

    answer = house.send(data, name=name)

    page = answer.content.decode()
    assert answer.status_code == status, number
    assert words in page
    assert "saved" in page
    assert Evidence.everything.count() == 1
    assert not store.exists(hashlib.sha256(data).hexdigest())


def test_f5_other_bytes_than_the_phone_sent_are_asked_for_again(house):
    sent = jpeg((2000, 1500))
    answer = house.send(files.flipped(), sha256=hashlib.sha256(sent).hexdigest())

    assert answer.status_code == 422
    assert "upload was incomplete" in answer.content.decode()
    assert "Send it again" in answer.content.decode()
    assert Evidence.everything.count() == 1


def test_f40_a_hundred_and_one_files_in_one_request(house):
    photos = [SimpleUploadedFile(f"{n}.jpg", b"x") for n in range(101)]

    answer = house.client.post(house.url, {"kind": "load", "photos": photos})

    assert answer.status_code == 400
    assert "You can send at most 20 files at once" in answer.content.decode()
    assert "Nothing was saved" in answer.content.decode()
