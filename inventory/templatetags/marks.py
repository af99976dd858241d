"""The marks of a photo, drawn over a copy of it as SVG: attributes only, no style."""

from collections.abc import Sequence

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from inventory.rules.evidence.markup import Mark, counted
from inventory.rules.evidence.markup_shapes import (
    HALO,
    INK,
    SIZE,
    WIDE,
    Label,
    Oval,
    Shape,
    Strokes,
    height_of,
    shapes_of,
)

register = template.Library()

_LINE = 'fill="none" stroke-linecap="round" stroke-linejoin="round"'


@register.simple_tag
def marks_over(marks: Sequence[Mark], width: int, height: int) -> SafeString:
    """Return the drawing that is laid over a picture of this many pixels."""
    high = height_of(width, height)
    halo = ("white", HALO)
    ink = ("black", INK)
    drawn = format_html_join(
        "",
        "{}{}",
        ((_drawn(one, *halo), _drawn(one, *ink)) for one in shapes_of(marks, high)),
    )
    return format_html(
        '<svg class="marks" viewBox="0 0 {} {}" preserveAspectRatio="none" role="img" '
        'aria-label="{}" data-high="{}">{}</svg>',
        WIDE,
        high,
        said_of(marks),
        high,
        drawn,
    )


@register.simple_tag
def percent_grid(width: int, height: int) -> SafeString:
    """Return lines at each tenth of a picture, to read places from by eye."""
    high = height_of(width, height)
    parts = []
    for tenth in range(1, 10):
        across, down = WIDE * tenth // 10, high * tenth // 10
        for colour, wide in (("white", 40), ("black", 12)):
            parts += [
                _drawn(Strokes(((across, 0), (across, high))), colour, wide),
                _drawn(Strokes(((0, down), (WIDE, down))), colour, wide),
            ]
    numbers = [
        Label(*at, f"{tenth}0")
        for tenth in (2, 4, 6, 8)
        for at in ((WIDE * tenth // 10 + 60, SIZE), (60, high * tenth // 10 - 60))
    ]
    parts += [
        _drawn(one, *look)
        for one in numbers
        for look in (("white", HALO), ("black", 0))
    ]
    return format_html(
        '<svg data-grid viewBox="0 0 {} {}" preserveAspectRatio="none" '
        'aria-hidden="true">{}</svg>',
        WIDE,
        high,
        format_html_join("", "{}", ((one,) for one in parts)),
    )


def said_of(marks: Sequence[Mark]) -> str:
    """Return the marks for someone who cannot see them."""
    if not marks:
        return "No marks"
    written = [mark.label for mark in marks if mark.label]
    return f"Marks: {counted(marks)}{''.join(f'; {one}' for one in written)}"


def _drawn(shape: Shape, colour: str, wide: int) -> SafeString:
    match shape:
        case Oval():
            return format_html(
                f'<ellipse cx="{{}}" cy="{{}}" rx="{{}}" ry="{{}}" {_LINE} '
                'stroke="{}" stroke-width="{}"/>',
                shape.x,
                shape.y,
                shape.rx,
                shape.ry,
                colour,
                wide,
            )
        case Label():
            return format_html(
                '<text x="{}" y="{}" font-size="{}" font-weight="700" fill="{}" '
                'stroke="{}" stroke-width="{}" stroke-linejoin="round">{}</text>',
                shape.x,
                shape.y,
                SIZE,
                colour,
                colour,
                wide if colour == "white" else 0,
                shape.text,
            )
        case _:
            points = " ".join(f"{x},{y}" for x, y in shape.points)
            return format_html(
                f'<polyline points="{{}}" {_LINE} stroke="{{}}" stroke-width="{{}}"/>',
                points,
                colour,
                wide,
            )
