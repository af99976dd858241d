"""A photo of a label is read in a child process, and nothing in it can hurt us."""

import io
import re
from pathlib import Path

import pytest
from PIL import Image, ImageFilter

from inventory.evidence.pictures import label_reader
from inventory.evidence.pictures.label_reader import read_label
from inventory.rules.codes.identifiers import parse
from tests.label_photos import label_photo
from tests.pictures import jpeg

KEY = parse("(8003)00614141123452400")


def test_both_codes_of_a_label_are_read_as_a_scanner_sends_them():
    found = read_label(label_photo(KEY))

    assert sorted(text[:3] for text in found.texts) == ["]C1", "]Q1"]
    assert {parse(text) for text in found.texts} == {KEY}
    assert found.trouble == ""


@pytest.mark.one_in(2)
@pytest.mark.parametrize("turn", [0, 8, 90, 180])
def test_a_label_at_a_slant_and_out_of_focus_is_read(turn):
    picture = Image.open(io.BytesIO(label_photo(KEY)))
    slanted = picture.rotate(turn, expand=True, fillcolor="white").filter(
        ImageFilter.GaussianBlur(1.2)
    )
    out = io.BytesIO()
    slanted.convert("RGB").save(out, "JPEG", quality=60)

    assert KEY in {parse(text) for text in read_label(out.getvalue()).texts}


def test_a_photo_without_a_code_gives_nothing_and_no_trouble():
    found = read_label(jpeg())

    assert (found.texts, found.trouble) == ((), "")


@pytest.mark.parametrize(
    "photo", [b"", b"\xff\xd8\xff broken", b"%PDF-1.7", b"\0" * 99]
)
def test_what_is_no_picture_is_trouble_not_a_fall(photo):
    found = read_label(photo)

    assert found.texts == ()
    assert found.trouble


def test_a_picture_too_large_to_open_is_refused_by_its_size():
    out = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(out, "PNG")

    assert read_label(out.getvalue()).trouble


def test_a_child_that_hangs_is_ended(monkeypatch, tmp_path):
    sleeper = tmp_path / "sleeper.py"
    sleeper.write_text("import time; time.sleep(30)")
    monkeypatch.setattr(label_reader, "_CHILD", sleeper)
    monkeypatch.setattr(label_reader, "SECONDS", 0.5)

    assert read_label(b"x").trouble == "TimeoutExpired"


def test_who_waits_too_long_for_a_turn_is_told_so(monkeypatch):
    monkeypatch.setattr(label_reader, "PATIENCE", 0.1)
    with label_reader._at_once:
        assert read_label(b"x").trouble == label_reader.BUSY
    assert read_label(b"x").trouble not in {"", label_reader.BUSY}


def test_the_child_needs_nothing_of_the_test_tools(tmp_path, monkeypatch):
    # numpy comes with the test tools only; the site runs without it.
    source = Path(label_reader._CHILD).read_text()
    bare = tmp_path / "bare.py"
    bare.write_text("import sys; sys.modules['numpy'] = None\n" + source)
    monkeypatch.setattr(label_reader, "_CHILD", bare)

    assert KEY in {parse(text) for text in read_label(label_photo(KEY)).texts}


def test_the_web_process_never_loads_the_decoder():
    # Only the child's own file names it.
    house = Path(label_reader.__file__).parents[2]
    users = [
        path.name
        for path in house.rglob("*.py")
        if re.search(r"^\s*(?:import|from) zxingcpp", path.read_text(), re.MULTILINE)
    ]
    assert users == ["label_child.py"]
