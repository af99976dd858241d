"""Templates compile, and none of them opens the door the content policy shuts."""

import re

import pytest
from django.template.loader import get_template

from tests.house.running import ROOT

TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
NAMES = [str(path.relative_to(ROOT / "templates")) for path in TEMPLATES]

FORBIDDEN = {
    "a style attribute": re.compile(r"\sstyle\s*=", re.IGNORECASE),
    "a style element": re.compile(r"<style\b", re.IGNORECASE),
    "a script without src": re.compile(r"<script\b(?![^>]*\ssrc=)", re.IGNORECASE),
    "an event attribute": re.compile(r"\son[a-z:-]+\s*=(?!=)", re.IGNORECASE),
    "a script address": re.compile(r"javascript:", re.IGNORECASE),
    "text let through unescaped": re.compile(r"\|\s*safe(?:seq)?\b|autoescape\s+off"),
}


def offences(text):
    return [name for name, pattern in FORBIDDEN.items() if pattern.search(text)]


def test_there_are_templates_to_look_at():
    assert "base.html" in NAMES


@pytest.mark.parametrize("name", NAMES)
def test_the_template_compiles(name):
    get_template(name)


@pytest.mark.parametrize("path", TEMPLATES, ids=NAMES)
def test_the_template_keeps_to_the_content_policy(path):
    assert offences(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ('<p style="color: red">', "a style attribute"),
        ("<style>p{}</style>", "a style element"),
        ("<script>go()</script>", "a script without src"),
        ('<a onclick="go()">', "an event attribute"),
        ('<a href="javascript:go()">', "a script address"),
        ("{{ words|safe }}", "text let through unescaped"),
        ("{% autoescape off %}", "text let through unescaped"),
    ],
)
def test_each_offence_is_seen(text, name):
    assert offences(text) == [name]


def test_no_code_marks_text_as_safe():
    sources = [
        path
        for folder in ("claims", "config", "inventory")
        for path in (ROOT / folder).rglob("*.py")
    ]
    marking = re.compile(
        r"\b(?:mark_safe|SafeString|SafeText)\(|safestring import mark"
    )

    marked = [
        str(path.relative_to(ROOT))
        for path in sources
        if marking.search(path.read_text(encoding="utf-8"))
    ]

    assert marked == []
