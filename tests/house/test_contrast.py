"""The colours of tokens.css, measured by WCAG 2.2's relative luminance."""

import re
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2] / "inventory/static/house"
TOKENS = HOUSE / "tokens.css"
TEXT = 7.0  # WCAG 1.4.6
SHAPE = 3.0  # WCAG 1.4.11
GROUNDS = ("ground", "panel")
INKS = ("ink", "ink-quiet", "work", "kept", "running", "late")


def _block(css: str, opening: str) -> dict[str, str]:
    start = css.index(opening)
    body = css[start : css.index("\n}", start)]
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9A-Fa-f]{6})", body))


def _schemes() -> dict[str, dict[str, str]]:
    css = TOKENS.read_text()
    light = _block(css, ":root {\n  color-scheme")
    dark = _block(css, "@media (prefers-color-scheme: dark)")
    return {"light": light, "dark": light | dark}


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [
        p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(one: str, other: str) -> float:
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_itself_knows_black_on_white_and_a_published_grey():
    assert ratio("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert ratio("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("ink", INKS)
def test_text_stands_seven_to_one_on_both_grounds(scheme, ground, ink):
    colours = _schemes()[scheme]

    assert ratio(colours[ink], colours[ground]) >= TEXT


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "fill"), [("on-work", "work"), ("on-kraft", "kraft")])
def test_text_on_a_fill_stands_seven_to_one(scheme, ink, fill):
    colours = _schemes()[scheme]

    assert ratio(colours[ink], colours[fill]) >= TEXT


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("edge", ["rule", "ink"])
def test_borders_and_the_focus_ring_stand_three_to_one(scheme, ground, edge):
    colours = _schemes()[scheme]

    assert ratio(colours[edge], colours[ground]) >= SHAPE


def test_dark_restates_every_colour_but_kraft():
    css = TOKENS.read_text()
    light = _block(css, ":root {\n  color-scheme")
    dark = _block(css, "@media (prefers-color-scheme: dark)")

    assert set(light) - set(dark) == {"kraft", "on-kraft"}


@pytest.mark.parametrize(
    "sheet",
    sorted(
        p.name for p in HOUSE.glob("*.css") if p.name not in {"tokens.css", "print.css"}
    ),
)
def test_no_sheet_names_a_colour_of_its_own(sheet):
    css = re.sub(r"/\*.*?\*/", "", (HOUSE / sheet).read_text(), flags=re.DOTALL)

    assert re.findall(r"#[0-9A-Fa-f]{3,8}\b(?=[^{}]*;)|rgba?\(|hsla?\(", css) == []


@pytest.mark.parametrize("sheet", sorted(p.name for p in HOUSE.glob("*.css")))
def test_every_token_used_is_a_token_that_exists(sheet):
    known = set(re.findall(r"--([\w-]+):", TOKENS.read_text()))
    used = set(re.findall(r"var\(--([\w-]+)", (HOUSE / sheet).read_text()))

    assert used <= known


@pytest.mark.parametrize("sheet", sorted(p.name for p in HOUSE.glob("*.css")))
def test_no_sheet_fetches_anything(sheet):
    assert not re.search(
        r"url\((?!\"#)|@import|@font-face", (HOUSE / sheet).read_text()
    )


def test_the_focus_ring_is_at_least_three_pixels():
    assert int(re.search(r"--ring: (\d+)px", TOKENS.read_text())[1]) >= 3
