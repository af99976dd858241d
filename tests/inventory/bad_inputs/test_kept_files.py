"""Odd files that are kept all the same: what is shown, what is said, how it is given back."""

import hashlib
from datetime import timedelta

import pytest
from django.utils import timezone
from PIL import Image

from inventory.evidence.pictures import renditions
from inventory.evidence.store import homes
from inventory.evidence.store import originals as store
from inventory.models import Evidence
from tests.inventory.bad_inputs import files
from tests.making import make_signed_delivery
from tests.pictures import NO_PICTURE, heic, jpeg, mpo, webp
from tests.reading import read_photos, seen

pytestmark = pytest.mark.database

UNOPENED = "cannot be previewed"
UNTIMED = "no readable time"

ROWS = [
    # number, how it is made, media type, width shown or None, words of the remark
    ("no picture", lambda: NO_PICTURE, "image/jpeg", None, UNOPENED),
    ("F5 agreed", files.flipped, "image/jpeg", 1600, ""),
    ("F11", files.huge_jpeg, "image/jpeg", 2040, "looks blurred"),
    (
        "F12",
        lambda: files.saved(
            Image.new("L", (13_000, 3_000), 90), "JPEG", progressive=True
        ),
        "image/jpeg",
        1625,
        "looks blurred",
    ),
    (
        "F13",
        lambda: files.small_png(files.text_bomb(b"iTXt")),
        "image/png",
        None,
        UNOPENED,
    ),
    (
        "F14",
        lambda: files.small_png(files.text_bomb(b"zTXt")),
        "image/png",
        None,
        UNOPENED,
    ),
    (
        "F15",
        lambda: files.small_png(files.text_bomb(b"iCCP")),
        "image/png",
        None,
        UNOPENED,
    ),
    ("F16", files.many_texts, "image/png", None, UNOPENED),
    ("F18", lambda: webp(30), "image/webp", 300, "Only its first frame is shown"),
    (
        "F19",
        lambda: files.saved(Image.new("CMYK", (900, 600), (0, 90, 90, 0)), "JPEG"),
        "image/jpeg",
        900,
        "",
    ),
    ("F22", heic, "image/heic", 96, "very small"),
    ("F24", mpo, "image/jpeg", 640, ""),
    (
        "F29",
        lambda: files.with_segment(0xFE, b"<script>alert(1)</script>"),
        "image/jpeg",
        640,
        "",
    ),
    ("F30", lambda: jpeg() + files.ZIP, "image/jpeg", 640, ""),
    (
        "F32",
        lambda: files.with_exif(taken="2026:13:45 99:99:99"),
        "image/jpeg",
        640,
        UNTIMED,
    ),
    (
        "F32 words",
        lambda: files.with_exif(taken="not a date"),
        "image/jpeg",
        640,
        UNTIMED,
    ),
    ("F33", files.broken_exif, "image/jpeg", 640, ""),
    ("F33 WebP", files.broken_exif_webp, "image/webp", 300, ""),
    ("F34", lambda: files.with_exif(turn=99), "image/jpeg", 640, ""),
    ("F34 turned", lambda: files.with_exif(turn=6), "image/jpeg", 480, ""),
    (
        "F35",
        lambda: files.with_exif(taken="1970:01:01 00:00:00"),
        "image/jpeg",
        640,
        "years behind our clock",
    ),
    (
        "F35 2038",
        lambda: files.with_exif(taken="2038:01:19 03:14:08"),
        "image/jpeg",
        640,
        "ahead of our clock",
    ),
    (
        "F38",
        lambda: files.saved(Image.new("RGB", (640, 480)), "JPEG"),
        "image/jpeg",
        640,
        "very dark",
    ),
    (
        "F38 dot",
        lambda: files.saved(Image.new("RGB", (1, 1), "white"), "PNG"),
        "image/png",
        1,
        "very small",
    ),
]


@pytest.mark.one_in(3)
@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_it_is_kept_byte_for_byte_shown_if_it_can_be_and_remarked_upon(house, row):
    number, make, media_type, width, words = row
    data = make()

    answer = house.send(data)

    assert answer.status_code == 302, number
    kept = Evidence.objects.get(original_id=hashlib.sha256(data).hexdigest())
    assert store.is_intact(kept.original_id)
    assert kept.original.media_type == media_type
    assert words in " ".join(seen(kept).remarks)
    path = renditions.ensure_rendition(kept.original_id, 1600)
    if width is None:
        assert path is None
        assert "cannot be previewed" in house.get("evidence", kept.pk).content.decode()
    else:
        with Image.open(path) as shown:
            assert shown.width == width


@pytest.mark.parametrize("make", [ROWS[12][1], ROWS[13][1]], ids=["F29", "F30"])
def test_what_could_be_two_things_is_only_ever_given_back_as_an_attachment(house, make):
    house.send(make())
    kept = Evidence.objects.exclude(pk=house.first.pk).get()

    answer = house.get("original", kept.pk)

    assert b"".join(answer.streaming_content) == make()
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["Content-Disposition"].startswith("attachment;")
    assert "sandbox" in answer["Content-Security-Policy"]
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_f21_a_heic_where_nothing_can_read_it(house, tmp_path, monkeypatch):
    source = renditions._SCRIPT.read_text()
    blind = tmp_path / "decode.py"
    blind.write_text(f"import sys\nsys.modules['pi_heif'] = None\n{source}")
    monkeypatch.setattr(renditions, "_SCRIPT", blind)

    assert house.send(heic()).status_code == 302
    kept = Evidence.objects.exclude(pk=house.first.pk).get()
    assert store.is_intact(kept.original_id)
    read_photos()
    assert "cannot be previewed" in house.get("evidence", kept.pk).content.decode()


def test_f31_a_pdf_named_as_a_photo_is_the_document_that_it_is(house, monkeypatch):
    monkeypatch.setattr(renditions, "read_picture", None)  # no child is asked

    assert house.send(b"%PDF-1.7\n%%EOF", name="photo.jpg").status_code == 302
    kept = Evidence.objects.exclude(pk=house.first.pk).get()
    assert kept.original.media_type == "application/pdf"
    assert house.get("original", kept.pk)["Content-Disposition"].endswith('.pdf"')


def test_f35_a_photo_of_tomorrow(house):
    tomorrow = timezone.now() + timedelta(days=1)
    house.send(files.with_exif(taken=f"{tomorrow:%Y:%m:%d %H:%M:%S}", offset="+00:00"))

    kept = Evidence.objects.exclude(pk=house.first.pk).get()
    assert seen(kept).remarks == ["The camera's clock is ahead of our clock."]


@pytest.mark.parametrize(
    ("place", "remark"), [((0.0, 0.0), ""), ((48.0, 2.0), "km from here")]
)
def test_f36_a_place_is_compared_and_printed_nowhere(house, place, remark):
    house.who.riverside.latitude, house.who.riverside.longitude = "41.66", "-91.53"
    house.who.riverside.save()

    house.send(files.with_exif(place=place))

    kept = Evidence.objects.exclude(pk=house.first.pk).get()
    remarks = seen(kept).remarks
    assert remark in " ".join(remarks)
    assert bool(remarks) == bool(remark)
    page = house.get("evidence", kept.pk).content.decode()
    for figure in ("48.00", "2.00000", "latitude"):
        assert figure not in page


def test_f37_the_same_photo_twice_is_one_file(house):
    files_before = list(homes.home().names())
    answer = house.send(jpeg(colour=(1, 99, 77)))

    assert answer.status_code == 302
    assert list(homes.home().names()) == files_before
    again = Evidence.objects.exclude(pk=house.first.pk).get()
    assert "already here" in seen(again).remarks[0]

    other = make_signed_delivery(location=house.who.riverside)
    house.url = house.url.replace(str(house.delivery.pk), str(other.pk))
    house.send(jpeg(colour=(1, 99, 77)))
    third = Evidence.objects.get(delivery=other)
    assert "already added to another" in seen(third).remarks[0]
    assert list(homes.home().names()) == files_before
