"""Frozen content comes back as it was, and nothing else passes for it."""

import dataclasses
import json
import typing

import pytest

from claims.rules.packet.content import from_json, to_json
from claims.rules.packet.handed_over import handed_over
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


def test_of_an_older_format_only_list_and_program_are_read(content):
    """The rest of it is in the PDF that was kept."""
    for form in (1, 2, 3):
        data = json.loads(to_json(content))
        data |= {"format": form, "deadlines": [], "papers": []}
        if form == 1:
            del data["manifest"], data["checker"]
        else:
            data |= {
                "manifest": {"size": 1, "root": "ab", "originals": []},
                "checker": "# checks",
            }
        read = handed_over(json.dumps(data))
        assert (read.title, read.version) == (content.title, content.version)
        assert bool(read.listed) == (form > 1)
        assert read.checker == ("# checks" if form > 1 else "")
        with pytest.raises(FrozenError, match="does not have the expected keys"):
            from_json(json.dumps(data))


def test_what_is_no_content_hands_nothing_over():
    for text in ("{", "{}", "[]", '{"format": true}'):
        with pytest.raises(FrozenError):
            handed_over(text)


def test_marks_come_back_with_their_photo(content):
    marks = (Mark("circle", 1, 2, 300, 400), Mark("words", 5, 5, 5, 5, "Zoë"))
    photo = dataclasses.replace(content.exhibits[0], marks=marks)
    marked = dataclasses.replace(content, exhibits=(photo,))
    assert from_json(to_json(marked)) == marked


def test_it_has_no_field_for_what_is_ours_alone(content):
    """No clock, gap, confidence or argument has a place to stand in."""
    never = ("deadline", "clock", "gap", "missing", "confidence", "authority", "why")
    never += ("reason", "opinion", "argument", "doubt", "chronology", "limit", "paper_")
    names = set(field_names(type(content)))
    assert {"pro", "demand", "exhibits"} <= names
    assert [name for name in names if any(word in name for word in never)] == []


def field_names(kind):
    """Yield the name of every field of a content type and of what it holds."""
    for field in dataclasses.fields(kind):
        yield field.name
        hint = typing.get_type_hints(kind)[field.name]
        for inner in (hint, *typing.get_args(hint)):
            if dataclasses.is_dataclass(inner):
                yield from field_names(inner)


def test_is_canonical(content):
    text = to_json(content)
    data = json.loads(text)
    assert text == json.dumps(
        data, sort_keys=True, ensure_ascii=False, separators=(",", ":")
    )


def test_keeps_letters_as_themselves(content):
    text = to_json(replace(content, kind="Zoë 箱 \U0001f600"))
    assert "Zoë 箱 \U0001f600" in text
    assert from_json(text).statement.kind == "Zoë 箱 \U0001f600"


def test_refuses_a_path_that_only_this_machine_has(content):
    photo = content.exhibits[0]
    moved = dataclasses.replace(photo.source[0], path="/srv/renditions/a.jpg")
    with pytest.raises(FrozenError, match="absolute"):
        to_json(
            dataclasses.replace(
                content, exhibits=(dataclasses.replace(photo, source=(moved,)),)
            )
        )


def test_refuses_half_a_character(content):
    with pytest.raises(FrozenError, match="half a character"):
        to_json(replace(content, kind="\ud83d"))


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
