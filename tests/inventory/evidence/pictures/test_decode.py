"""The child that reads pictures: what it measures, and what it cannot do."""

import io
import json
import random
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image, ImageDraw, ImageFilter, ImageStat

from inventory.evidence.pictures import decode, drawn, renditions
from inventory.evidence.store import originals as store
from inventory.rules.evidence.remarks import BLURRED
from tests.pictures import heic, jpeg, mpo, png, turned_jpeg, webp

pytestmark = pytest.mark.decoder

SCRIPT = Path(renditions.__file__).with_name("decode.py")


@pytest.fixture(autouse=True)
def roots(tmp_path, settings):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.RENDITION_ROOT = tmp_path / "renditions"


def read(data):
    stored = store.store_original([data], limit=50_000_000)
    return stored.sha256, renditions.read_picture(stored.sha256)


def saved(image, form="PNG", **how):
    out = io.BytesIO()
    image.save(out, form, **how)
    return out.getvalue()


KINDS = {
    "jpeg": (jpeg(), (640, 480)),
    "mpo": (mpo(), (640, 480)),
    "png": (png(), (300, 200)),
    "webp": (webp(), (300, 240)),
    "heic": (heic(), (96, 64)),
    "cmyk": (saved(Image.new("CMYK", (90, 60), (0, 90, 90, 0)), "JPEG"), (90, 60)),
    "panorama": (
        saved(Image.new("L", (13_000, 3_000), 90), "JPEG", progressive=True),
        (13_000, 3_000),
    ),
}


LONGEST = {("panorama", 1600): 1625}
"""Decoded at an eighth, and left so."""


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_we_take_gets_both_renditions_without_exif(kind):
    data, size = KINDS[kind]
    sha256, reading = read(data)

    assert (reading.trouble, reading.width, reading.height) == ("", *size)
    for longest in renditions.SIZES:
        with Image.open(renditions.rendition_path(sha256, longest)) as made:
            assert (made.format, made.mode) == ("JPEG", "RGB")
            assert max(made.size) == LONGEST.get(
                (kind, longest), min(longest, max(size))
            )
            assert dict(made.getexif()) == {}


def test_no_rendition_holds_the_place_or_the_phone():
    sha256, _ = read(turned_jpeg())
    for longest in renditions.SIZES:
        data = renditions.rendition_path(sha256, longest).read_bytes()
        assert b"Exif" not in data
        assert b"Larkfone" not in data


SIDES = {
    "a half": (4032, 2016),
    "a quarter": (8064, 2016),
    "a half is still too large": (4624, 1600),
    "no part of it is enough": (2016, 1600),
}


@pytest.mark.parametrize("side", SIDES)
def test_a_photo_keeps_the_pixels_it_is_decoded_at_where_they_are_few(side):
    whole, made = SIDES[side]
    data = saved(Image.new("RGB", (whole, whole // 4), "tan"), "JPEG")
    sha256, _ = read(data)

    assert drawn.jpeg_size(renditions.rendition_path(sha256, 1600).read_bytes()) == (
        made,
        made // 4,
    )


def test_a_copy_holds_nothing_that_was_written_into_the_original():
    words = {"comment": b"Bay 4 is open", "dpi": (301, 301), "icc_profile": b"profile"}
    sha256, _ = read(saved(machine(), "JPEG", **words))

    for longest in renditions.SIZES:
        data = renditions.rendition_path(sha256, longest).read_bytes()
        assert b"Bay 4" not in data
        assert b"profile" not in data
        assert (301).to_bytes(2) not in data[:20]


def test_an_animation_is_known_and_a_second_picture_is_none():
    assert read(webp(30))[1].moves
    assert not read(webp())[1].moves
    assert not read(mpo())[1].moves


def test_grey_of_sixteen_bits_is_not_clipped_to_white():
    image = Image.new("I;16", (300, 200))
    image.frombytes((30_000).to_bytes(2, "little") * 300 * 200)
    sha256, reading = read(saved(image))

    assert reading.brightness == 117
    assert renditions.rendition_path(sha256, 320).exists()


def machine():
    """Draw edges as a photo of a crate has them."""
    image = Image.new("RGB", (1600, 1200), (150, 140, 120))
    draw = ImageDraw.Draw(image)
    for step in range(0, 1600, 80):
        draw.line((step, 0, 1600 - step, 1200), fill=(40, 40, 40), width=6)
        draw.text((step, step * 3 // 4), "THIS SIDE UP", fill=(250, 250, 250))
    return image


def test_a_blurred_picture_measures_below_the_bound_and_a_crisp_one_above():
    crisp = read(saved(machine(), "JPEG"))[1]
    blurred = read(saved(machine().filter(ImageFilter.GaussianBlur(12)), "JPEG"))[1]

    assert crisp.sharpness > BLURRED * 4
    assert blurred.sharpness < BLURRED


@pytest.mark.slow
def test_a_photo_of_twelve_megapixels_is_measured_as_its_smaller_copy_is():
    large = machine().resize((4032, 3024), Image.Resampling.BICUBIC)
    for blur in (0, 12, 24, 36):
        pair = [
            read(saved(image.filter(ImageFilter.GaussianBlur(by)), "JPEG"))[1].sharpness
            for image, by in ((large, blur), (large.reduce(2), blur / 2))
        ]
        assert (pair[0] < BLURRED) == (pair[1] < BLURRED)
        assert pair[0] == pytest.approx(pair[1], rel=0.2, abs=3)


@pytest.mark.parametrize("size", [(1, 1), (7, 3), (159, 119)])
def test_what_is_counted_of_a_picture_is_what_pillow_counts(size):
    dice = random.Random(f"{size}")
    image = Image.frombytes("L", size, dice.randbytes(size[0] * size[1]))
    found = ImageStat.Stat(image)

    assert decode._mean_and_variance(image) == (found.mean[0], found.var[0])


def test_a_black_picture_measures_dark_and_a_dot_is_not_measured_for_edges():
    assert read(saved(Image.new("RGB", (640, 480))))[1].brightness == 0
    assert read(saved(Image.new("RGB", (1, 1))))[1].sharpness is None


def test_a_heic_that_cannot_be_read_here_is_kept_and_other_kinds_still_work(
    tmp_path, monkeypatch
):
    without = tmp_path / "decode.py"
    without.write_text(
        "import sys\nsys.modules['pi_heif'] = None\n" + SCRIPT.read_text()
    )
    monkeypatch.setattr(renditions, "_SCRIPT", without)

    sha256, reading = read(heic())
    assert reading.trouble == "UnidentifiedImageError"
    assert store.is_intact(sha256)
    assert read(jpeg())[1].trouble == ""


TRY_ALL = """
refused = []
for name, attempt in {
    "a file": lambda: open("/etc/hostname"),
    "a new file": lambda: open("/tmp/made-by-a-photo", "w"),
    "a socket": lambda: socket.socket(),
    "a unix socket": lambda: socket.socket(socket.AF_UNIX),
    "a pipe": lambda: os.pipe(),
    "a program": lambda: subprocess.run(["true"]),
}.items():
    try:
        attempt()
    except OSError as error:
        if error.errno == errno.EMFILE:
            refused.append(name)
facts = {"refused": refused}
"""


def test_once_it_has_read_it_can_open_no_file_no_socket_and_start_nothing(tmp_path):
    """Run the child's own limits, then try to get out, in the decoder's place."""
    script = tmp_path / "decode.py"
    source = SCRIPT.read_text()
    body = "".join(f"        {line}\n" for line in TRY_ALL.splitlines())
    assert "        facts, pictures = _read(data, version)\n" in source
    script.write_text(
        source.replace(
            "import io\n", "import errno, io, os, socket, subprocess\n", 1
        ).replace(
            "        facts, pictures = _read(data, version)\n",
            f"{body}        pictures = []\n",
        )
    )

    done = subprocess.run(
        [sys.executable, "-I", str(script)],
        input=jpeg(),
        capture_output=True,
        check=True,
    )

    assert json.loads(done.stdout.partition(b"\n")[0])["refused"] == [
        "a file",
        "a new file",
        "a socket",
        "a unix socket",
        "a pipe",
        "a program",
    ]
    assert not Path("/tmp/made-by-a-photo").exists()


ENDINGS = {
    "hangs": "import time; time.sleep(60)",
    "dies": "import os; os.abort()",
    "says nothing": "raise SystemExit(0)",
    "talks nonsense": "print('{')",
    "eats memory": "x = bytearray(10**9)",
}


@pytest.mark.parametrize("ending", ENDINGS)
def test_whatever_becomes_of_the_child_the_photo_is_kept(ending, tmp_path, monkeypatch):
    script = tmp_path / "decode.py"
    script.write_text(
        "import resource\nresource.setrlimit(resource.RLIMIT_AS, (2**29, 2**29))\n"
        + ENDINGS[ending]
    )
    monkeypatch.setattr(renditions, "_SCRIPT", script)
    monkeypatch.setattr(renditions, "SECONDS", 1)

    sha256, reading = read(jpeg())

    assert reading.trouble
    assert store.is_intact(sha256)
