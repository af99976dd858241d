"""Frozen content comes back as it was, and nothing else passes for it."""

import dataclasses
import json

import pytest

from claims.rules.packet.content import from_json, manifest_bytes, to_json
from inventory.rules.core.frozen import FrozenError
from inventory.rules.evidence.markup import Mark
from tests.claims.documents.sample import replace, sample_packet


@pytest.fixture
def content(tmp_path):
    return sample_packet(tmp_path)


def test_comes_back_equal_and_freezes_to_the_same_text(content):
    text = to_json(content)
    assert from_json(text) == content
    assert to_json(from_json(text)) == text


def frozen_before_lists(content):
    """Return the content as format 1 froze it, without the keys it did not know."""
    data = json.loads(to_json(content))
    data["format"] = 1
    del data["manifest"], data["checker"]
    return json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def test_reads_what_was_frozen_before_there_were_lists_of_originals(content):
    read = from_json(frozen_before_lists(content))

    assert read == dataclasses.replace(content, format=1)
    assert manifest_bytes(read) == b""


def test_reads_what_was_frozen_before_photos_had_marks(content):
    data = json.loads(to_json(content))
    data["format"] = 2
    photos = [
        photo
        for entry in (*data["findings"], *data["exceptions"])
        for photo in entry["photos"]
    ]
    for photo in photos:
        del photo["file"], photo["marks"]

    assert len(photos) == 4
    assert from_json(json.dumps(data)) == dataclasses.replace(content, format=2)
    data["format"] = 3
    with pytest.raises(FrozenError, match="does not have the expected keys"):
        from_json(json.dumps(data))


def test_marks_come_back_with_their_photo(content):
    marks = (Mark("circle", 1, 2, 300, 400), Mark("words", 5, 5, 5, 5, "Zoë"))
    entry = content.findings[0]
    photo = dataclasses.replace(entry.photos[0], file="IMG_1.jpg", marks=marks)
    marked = dataclasses.replace(
        content, findings=(dataclasses.replace(entry, photos=(photo,)),)
    )
    assert from_json(to_json(marked)) == marked


def test_a_later_format_without_its_keys_is_refused(content):
    text = frozen_before_lists(content).replace('"format":1', '"format":2')
    with pytest.raises(FrozenError, match="does not have the expected keys"):
        from_json(text)


def test_is_canonical(content):
    text = to_json(content)
    data = json.loads(text)
    assert text == json.dumps(
        data, sort_keys=True, ensure_ascii=False, separators=(",", ":")
    )


def test_keeps_letters_as_themselves(content):
    text = to_json(replace(content, signed_by="Zoë 箱 \U0001f600"))
    assert "Zoë 箱 \U0001f600" in text
    assert from_json(text).statement.signed_by == "Zoë 箱 \U0001f600"


def test_refuses_a_path_that_only_this_machine_has(content):
    photo = content.findings[0].photos[0]
    moved = dataclasses.replace(photo.picture, path="/srv/renditions/a.jpg")
    finding = dataclasses.replace(
        content.findings[0], photos=(dataclasses.replace(photo, picture=moved),)
    )
    with pytest.raises(FrozenError, match="absolute"):
        to_json(dataclasses.replace(content, findings=(finding,)))


def test_refuses_half_a_character(content):
    with pytest.raises(FrozenError, match="half a character"):
        to_json(replace(content, signed_by="\ud83d"))


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("paper", "legal"),
        ("version", 1),
        ("findings", {}),
        ("tree", None),
        ("format", "1"),
        ("format", True),
        ("more", "keys"),
    ],
)
def test_refuses_a_value_of_another_kind(content, key, value):
    data = json.loads(to_json(content))
    data[key] = value
    with pytest.raises(FrozenError):
        from_json(json.dumps(data))


def test_refuses_a_missing_key_and_what_is_no_json(content):
    data = json.loads(to_json(content))
    del data["schedule"]
    with pytest.raises(FrozenError, match="keys"):
        from_json(json.dumps(data))
    with pytest.raises(FrozenError, match="not JSON"):
        from_json("{")
