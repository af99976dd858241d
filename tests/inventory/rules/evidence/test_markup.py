"""What may be marked on a photo, and how each refusal reads. Limits are our own."""

import dataclasses

import pytest

from inventory.rules.evidence.markup import (
    Mark,
    MarkError,
    check_marks,
    counted,
    from_stored,
    mark_of,
    marked_copy,
    to_stored,
)
from inventory.rules.evidence.markup_shapes import (
    Label,
    Oval,
    Strokes,
    height_of,
    shapes_of,
)

CIRCLE = Mark("circle", 100, 200, 400, 500)
RULER = Mark("measure", 0, 0, 1000, 0, "3 1/2", "in")


def made(kind, start=(100, 200), end=(400, 500), **more):
    return mark_of(kind, start, end, **more)


@pytest.mark.parametrize(
    ("kind", "more", "expected"),
    [
        ("circle", {}, CIRCLE),
        ("arrow", {"text": "not asked"}, Mark("arrow", 100, 200, 400, 500)),
        (
            "measure",
            {"length": ' 3  1/2" ', "unit": "in"},
            Mark("measure", 100, 200, 400, 500, "3 1/2", "in"),
        ),
        (
            "measure",
            {"length": "88.5", "unit": "mm"},
            Mark("measure", 100, 200, 400, 500, "88.5", "mm"),
        ),
        (
            "words",
            {"text": " slat\n<broken> "},
            Mark("words", 100, 200, 100, 200, "slat <broken>"),
        ),
    ],
)
def test_a_mark_is_what_was_described(kind, more, expected):
    assert made(kind, **more) == expected


def test_a_circle_may_be_given_from_any_corner():
    assert mark_of("circle", (400, 200), (100, 500)) == CIRCLE


def test_an_arrow_keeps_its_direction():
    assert mark_of("arrow", (400, 200), (100, 500)).x1 == 400


@pytest.mark.parametrize(
    ("given", "more", "field", "said"),
    [
        (("star", (1, 1), (500, 500)), {}, "kind", "Choose circle"),
        (("", (1, 1), (500, 500)), {}, "kind", "Choose circle"),
        (("circle", (None, 1), (500, 500)), {}, "x1", "Enter a percentage"),
        (("circle", (1, 1), (500, None)), {}, "y2", "Enter a percentage"),
        (("words", (1, None), (None, None)), {"text": "a"}, "y1", "Enter a percentage"),
        (("arrow", (-1, 0), (500, 500)), {}, "x1", "outside the photo"),
        (("arrow", (0, 0), (1001, 500)), {}, "x2", "outside the photo"),
        (("words", (0, 1001), (0, 0)), {"text": "a"}, "y1", "outside the photo"),
        (("circle", (100, 100), (119, 500)), {}, "x2", "Make it larger"),
        (("arrow", (100, 100), (119, 119)), {}, "x2", "Make it longer"),
        (("measure", (100, 100), (500, 100)), {"unit": "in"}, "length", "you measured"),
        (
            ("measure", (100, 100), (500, 100)),
            {"length": "0", "unit": "in"},
            "length",
            "above 0",
        ),
        (
            ("measure", (100, 100), (500, 100)),
            {"length": "1/0", "unit": "in"},
            "length",
            "above 0",
        ),
        (
            ("measure", (100, 100), (500, 100)),
            {"length": "-3", "unit": "in"},
            "length",
            "above 0",
        ),
        (
            ("measure", (100, 100), (500, 100)),
            {"length": "3", "unit": "mi"},
            "unit",
            "Choose in",
        ),
        (("words", (1, 1), (1, 1)), {"text": " \u202e "}, "text", "Enter the words"),
        (("words", (1, 1), (1, 1)), {"text": "a" * 61}, "text", "it has 61"),
    ],
)
def test_what_cannot_be_drawn_names_its_field(given, more, field, said):
    with pytest.raises(MarkError, match=said) as refused:
        mark_of(*given, **more)
    assert refused.value.field == field


def test_the_smallest_and_the_longest_are_taken():
    assert mark_of("circle", (0, 0), (20, 20)).x2 == 20
    assert mark_of("arrow", (0, 0), (0, 20)).y2 == 20
    assert len(mark_of("words", (0, 1000), (0, 0), text="a" * 60).text) == 60


def test_a_photo_takes_twelve_marks():
    check_marks([CIRCLE] * 12)
    with pytest.raises(MarkError, match="at most 12 marks; this has 13"):
        check_marks([CIRCLE] * 13)


@pytest.mark.parametrize(
    "wrong",
    [
        dataclasses.replace(CIRCLE, x2=2000),
        dataclasses.replace(CIRCLE, x1=400, x2=100),
        dataclasses.replace(CIRCLE, text="not drawn"),
        dataclasses.replace(RULER, unit=""),
        Mark("words", 1, 1, 2, 2, "two points"),
    ],
)
def test_a_mark_that_did_not_come_from_the_rules_is_refused(wrong):
    with pytest.raises(MarkError):
        check_marks([wrong])


def test_stored_marks_come_back_equal():
    marks = (CIRCLE, RULER, Mark("words", 5, 6, 5, 6, "箱"))
    check_marks(marks)
    assert from_stored(to_stored(marks)) == marks


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        ([CIRCLE, RULER, CIRCLE], "2 circles, 1 measure line"),
        ([Mark("words", 1, 1, 1, 1, "a")] * 2, "words at 2 places"),
        ([Mark("words", 1, 1, 1, 1, "a"), CIRCLE], "1 circle, words"),
        ([], ""),
    ],
)
def test_marks_are_counted_for_a_sentence(marks, said):
    assert counted(marks) == said


def test_a_marked_copy_names_its_original():
    assert (
        marked_copy("ab12" * 16, "IMG_1.jpg")
        == "Marked copy. Original: SHA-256 ab12ab12ab12..., file IMG_1.jpg."
    )
    assert marked_copy("ab12" * 16, "").endswith("ab12ab12ab12....")


# -- what is drawn: by hand on a picture 10,000 wide and 5,000 high -------------------


def test_a_circle_is_an_oval_in_its_box():
    assert shapes_of([CIRCLE], 5000) == (Oval(2500, 1750, 1500, 750),)


def test_an_arrow_has_its_head_at_its_second_point():
    shaft, head = shapes_of([Mark("arrow", 100, 500, 900, 500)], 5000)
    assert shaft == Strokes(((1000, 2500), (9000, 2500)))
    # The head reaches back by 420 and 252 to each side.
    assert head == Strokes(((8580, 2752), (9000, 2500), (8580, 2248)))


def test_a_measure_line_has_an_upright_tick_at_each_end_and_its_length():
    line, one, other, label = shapes_of(
        [dataclasses.replace(RULER, y1=500, y2=500)], 5000
    )
    assert line == Strokes(((0, 2500), (10_000, 2500)))
    assert one == Strokes(((0, 2710), (0, 2290)))
    assert other == Strokes(((10_000, 2710), (10_000, 2290)))
    assert (label.text, label.x, label.y) == ("3 1/2 in", 5140, 2360)


@pytest.mark.parametrize("high", [700, 5000, 13_333])
@pytest.mark.parametrize("place", [(0, 0), (1000, 0), (0, 1000), (1000, 1000)])
def test_words_stay_inside_the_picture(high, place):
    mark = mark_of("words", place, (0, 0), text="W" * 24 + " " + "slat broken " * 2)
    labels = shapes_of([mark], high)
    assert [one.text for one in labels] == ["W" * 24, "slat broken slat broken"]
    assert all(isinstance(one, Label) and one.x >= 0 for one in labels)
    assert all(one.x + len(one.text) * 290 <= 10_000 for one in labels)
    assert labels[0].y >= 460
    if high > 1000:
        assert labels[-1].y <= high


@pytest.mark.parametrize(
    ("size", "high"), [((1600, 1200), 7500), ((1200, 1600), 13_333), ((0, 9), 10_000)]
)
def test_a_picture_is_as_high_as_its_shape_says(size, high):
    assert height_of(*size) == high
