"""The frame, the parts and the error pages come out whole with what they are promised."""

import re
from datetime import UTC, date, datetime
from pathlib import Path
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from django.core.paginator import Paginator
from django.template import engines
from django.template.loader import render_to_string
from django.test import RequestFactory

from tests.house.test_crispy_pack import Page, assert_nothing_inline, assert_told_apart

TEMPLATES = Path(__file__).parents[2] / "templates"
OURS = sorted(
    str(path.relative_to(TEMPLATES))
    for pattern in ("*.html", "parts/*.html", "dock/**/*.html", "registration/*.html")
    for path in TEMPLATES.glob(pattern)
)


def draw(source, **context):
    template = engines["django"].from_string("{% load house %}" + source)
    return template.render(context)


def whole(html):
    page = Page(html)
    assert page.open == []
    assert_told_apart(page)
    return page


def deadline(**over):
    facts = {
        "label": "Concealed-damage notice",
        "owed_by": "us",
        "starts_on": date(2026, 11, 20),
        "due": date(2026, 11, 30),
        "safe": date(2026, 11, 27),
        "send_by": date(2026, 11, 26),
        "today": date(2026, 11, 25),
        "state": "running",
        "words": "Two days to the safe date.",
        "steps": ["Receipt signed: day 0"],
        "authority": "The carrier's tariff",
        "effect": "He may presume it happened here.",
    }
    return SimpleNamespace(**facts | over)


@pytest.mark.parametrize("name", OURS)
def test_no_template_carries_style_or_script_inline(name):
    text = (TEMPLATES / name).read_text()

    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|javascript:", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)
    assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in text


@pytest.mark.parametrize("number", [400, 403, 404, 500])
def test_an_error_page_needs_nothing_and_says_what_was_saved(number):
    html = render_to_string(f"{number}.html")

    page = whole(html)
    assert len(page.find("h1")) == 1
    assert "saved" in html
    assert page.find("a", href="/")
    assert_nothing_inline(html)


def test_a_refusal_gives_its_reason():
    reason = "Only a manager may price parts. Nothing was changed."
    html = render_to_string("403.html", {"exception": reason})

    assert reason in html
    assert html.count("Nothing was") == 1


def test_the_frame_names_the_desk_the_person_and_the_location():
    person = SimpleNamespace(is_authenticated=True, get_full_name="Rosa Ortiz")
    html = render_to_string(
        "base.html",
        {
            "person": person,
            "location_names": ["Riverside"],
            "nav": [
                {"url": "/a", "label": "Dock", "current": True},
                {"url": "/b", "label": "Bench", "current": False},
            ],
            "crumbs": [("Dock", "/a"), ("Truck 07:40", None)],
        },
    )

    page = whole(html)
    assert page.find("a", href="/a")[-1].get("aria-current") is None
    assert page.find("a", **{"aria-current": "true"}) == [
        {"href": "/a", "aria-current": "true"}
    ]
    assert "Rosa Ortiz" in html
    assert "Riverside" in html
    assert (
        html.count("not legal advice") + html.count("Nothing here is legal advice") == 1
    )


def test_the_frame_offers_a_way_past_the_masthead_and_no_way_out_to_a_stranger():
    html = render_to_string("base.html")

    page = whole(html)
    assert page.find("a")[0] == {"class": "skip", "href": "#main"}
    assert "Sign out" not in html
    assert "Menu" not in html


def test_a_wrong_form_says_so_in_the_title():
    html = render_to_string(
        "base.html", {"form": SimpleNamespace(errors={"pro": ["x"]})}
    )

    assert "<title>Error: " in html


def test_a_clock_draws_its_days_and_writes_them_too():
    html = draw("{% clock it %}", it=deadline())

    whole(html)
    assert 'class="clock running"' in html
    assert (
        html.count(
            "<title>Days from Fri 20 Nov 2026 to Mon 30 Nov 2026; today is Wed 25 Nov 2026"
        )
        == 1
    )
    for words in (
        "Mon 30 Nov 2026",
        "Fri 27 Nov 2026",
        "Thu 26 Nov 2026",
        "Owed by",
        "Running",
        "tariff",
        "day 0",
    ):
        assert words in html
    assert_nothing_inline(html)


def test_a_late_clock_has_the_word_and_the_overrun():
    html = draw("{% clock it %}", it=deadline(state="late", today=date(2026, 12, 3)))

    assert "Late" in html
    assert 'class="over"' in html


def test_a_kept_clock_has_no_today():
    html = draw("{% clock it %}", it=deadline(state="kept"))

    assert "Met" in html
    assert ">today<" not in html


@pytest.mark.parametrize(
    "missing",
    ["starts_on", "due", "safe", "send_by", "words", "steps", "authority", "effect"],
)
def test_a_clock_does_without_any_one_of_its_facts(missing):
    html = draw("{% clock it %}", it=deadline(**{missing: None}))

    whole(html)
    assert "None" not in html


def test_a_clock_takes_a_mapping_as_well():
    assert "ruler" in draw("{% clock it level=2 %}", it=vars(deadline()))


@pytest.mark.parametrize(
    "state", ["calm", "running", "late", "kept", "done", "missing", "clear", "refused"]
)
def test_a_state_is_a_mark_and_a_word(state):
    html = draw("{% status state %}", state=state)

    assert html.count("<svg") == 1
    assert re.sub(r"<[^>]+>", "", html).strip()


def test_the_three_states_of_time_differ_in_shape_as_well_as_colour():
    marks = {
        state: re.search(r"<svg.*?</svg>", draw("{% status state %}", state=state))[0]
        for state in ("calm", "running", "late", "kept")
    }

    assert len(set(marks.values())) == 4


def test_a_drawn_crate_tells_in_words_what_it_marks():
    html = draw("{% crate_drawing marked=marked %}", marked=["side-3", "top"])

    whole(html)
    assert "<title>Damage marked on: top, side 3</title>" in html
    assert html.count('class="hit"') == 2


def test_a_clear_crate_has_no_cross():
    html = draw("{% crate_drawing %}")

    assert "No side is marked" in html
    assert 'class="hit"' not in html


def test_a_story_is_told_in_order_and_escaped():
    items = [
        {
            "at": datetime(2026, 11, 20, 7, 40, tzinfo=UTC),
            "zone": ZoneInfo("America/Chicago"),
            "sentence": "Truck <arrived>.",
            "who": "Rosa",
        },
        {
            "at": datetime(2026, 11, 20, 8, 5, tzinfo=UTC),
            "zone": ZoneInfo("America/Chicago"),
            "sentence": "Signed.",
            "url": "/x",
            "state": "kept",
        },
    ]
    html = draw('{% include "parts/story.html" %}', items=items)

    whole(html)
    assert "Truck &lt;arrived&gt;." in html
    assert html.index("arrived") < html.index("Signed.")
    assert "1:40 AM</time>" in html
    assert 'datetime="2026-11-20T08:05:00+00:00"' in html


def test_pages_keep_the_filter_of_the_address():
    request = RequestFactory().get("/claims", {"state": "sent", "page": "2"})
    html = render_to_string(
        "parts/pager.html", {"page": Paginator(range(30), 10).page(2)}, request
    )

    hrefs = [a["href"] for a in Page(html).find("a")]
    assert hrefs == ["?state=sent&page=1", "?state=sent&page=3"]
    assert "Page 2 of 3" in html


def test_an_empty_list_offers_the_first_step():
    html = draw(
        '{% include "parts/empty.html" with words="No claims yet." url="/new" act="Make one" %}'
    )

    assert Page(html).find("a", href="/new")


def test_photos_have_words_for_those_who_cannot_see_them():
    photo = {
        "thumb_url": "/t",
        "url": "/f",
        "alt": "Crate 2, side 3",
        "caption": "Crushed",
        "width": 1600,
        "height": 1200,
    }
    html = draw('{% include "parts/photo_grid.html" %}', photos=[photo])

    [image] = whole(html).find("img")
    assert image["alt"] == "Crate 2, side 3"
    assert image["width"] == "1600"


def test_no_photo_is_said_in_words():
    html = draw(
        '{% include "parts/photo_grid.html" with empty="No photo yet." %}', photos=[]
    )

    assert "No photo yet." in html


@pytest.mark.parametrize(
    ("cents", "written"),
    [
        (0, "$0.00"),
        (5, "$0.05"),
        (123456, "$1,234.56"),
        (-123456, "\N{MINUS SIGN}$1,234.56"),
        (None, "\N{EM DASH}"),
        ("", "\N{EM DASH}"),
    ],
)
def test_money_is_written_from_whole_cents(cents, written):
    assert draw('{{ cents|money:"USD" }}', cents=cents) == written


def test_other_money_carries_its_code():
    assert draw('{{ 100|money:"CAD" }}') == "1.00 CAD"


def test_identifiers_are_set_apart_and_escaped():
    assert (
        draw("{{ it|ident }}", it="<441>") == '<span class="ident">&lt;441&gt;</span>'
    )
    assert draw("{{ it|ident }}", it="") == "\N{EM DASH}"


def test_a_day_is_written_so_that_no_order_can_be_mistaken():
    assert draw("{{ it|day }}", it=date(2026, 3, 4)) == "Wed 4 Mar 2026"
    assert draw("{{ it|day }}", it=None) == "\N{EM DASH}"
