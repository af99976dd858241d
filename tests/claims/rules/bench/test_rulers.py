"""A reading on its ruler. The figures of the drawing: 3 3/4 and 3 7/8, 3 3/4 and 3 15/16."""

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from claims.rules.bench.rulers import MOST_STEPS, lay_ruler
from claims.rules.bench.targets import Target, judge
from inventory.rules.reckoning.quantities import Quantity, parse_quantity


def ruler(rule, points, span, unit="in", **typed):
    readings = {point: parse_quantity(text, unit) for point, text in typed.items()}
    limits = (parse_quantity(one, unit) if one else None for one in span)
    (verdict,) = judge(readings, [Target("x", rule, points, *limits, "p. 1")]).verdicts
    return lay_ruler(verdict, readings)


def labels(found):
    return [cut.label for cut in found.cuts if cut.label]


def test_left_and_right_apart_begin_at_nought():
    points = ("left", "right")
    found = ruler("apart", points, ("", "1/8"), left="3 3/4", right="3 7/8")
    assert found.title == "Left and right: 1/8 in apart"
    assert found.allowed == "up to 1/8 in"
    assert labels(found) == ["0", "1/8", "1/4"]
    assert (found.span_x, found.span_width, found.mark_x) == ("0%", "50%", "50%")
    assert found.state == "right"


def test_front_lower_than_rear_fills_the_allowed_span():
    points = ("front", "rear")
    found = ruler("lower", points, ("1/8", "1/4"), front="3 3/4", rear="3 15/16")
    assert found.title == "Front to rear: front 3/16 in lower"
    assert labels(found) == ["0", "1/8", "1/4", "3/8"]
    assert (found.span_x, found.span_width) == ("33.33%", "33.33%")
    assert found.mark_x == "50%"


def test_a_front_that_is_higher_is_left_of_nought():
    points = ("front", "rear")
    found = ruler("lower", points, ("1/8", "1/4"), front="4", rear="3 7/8")
    assert found.title == "Front to rear: front 1/8 in higher"
    assert labels(found)[0].startswith("-")
    assert found.state == "low"


def test_a_pressure_is_drawn_in_its_own_unit():
    found = ruler("each", ("only",), ("9", "11"), "psi", only="8")
    assert labels(found) == ["7", "8", "9", "10", "11", "12"]
    assert found.title == "8 psi"
    assert found.state == "low"


def test_an_open_limit_fills_to_the_end():
    found = ruler("each", ("left",), ("3", ""), left="3 1/4")
    at = float(found.span_x[:-1]) + float(found.span_width[:-1])
    assert at == pytest.approx(100, abs=0.02)


def test_nothing_is_drawn_of_what_was_not_read():
    assert ruler("apart", ("left", "right"), ("", "1/8"), left="3 3/4") is None


@given(
    st.integers(0, 4000),
    st.integers(0, 4000),
    st.integers(0, 400),
    st.sampled_from("ab"),
)
@example(0, 1, 48, "a")  # between three inches and four
def test_the_mark_and_the_span_are_where_the_figures_are(value, low, wide, kind):
    """The mark is within the span exactly where the verdict says it is right."""
    unit, size = ("in", 16) if kind == "a" else ("psi", 10)
    reading, least, most = (
        Quantity(Fraction(one, size), unit) for one in (value, low, low + wide)
    )
    target = Target("x", "each", ("only",), least, most, "p. 1")
    (verdict,) = judge({"only": reading}, [target]).verdicts
    found = lay_ruler(verdict, {"only": reading})
    start = float(found.span_x[:-1])
    end = start + float(found.span_width[:-1])
    mark = float(found.mark_x[:-1])
    if found.state == "right":
        assert start - 0.02 <= mark <= end + 0.02
    else:
        assert mark < start if found.state == "low" else mark > start
    assert 0 <= mark <= 100
    assert end <= 101.1
    assert len(found.cuts) <= 2 * MOST_STEPS
