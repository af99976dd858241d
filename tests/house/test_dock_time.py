"""A moment reaches a person only through ``inventory/rules/reckoning/moments.py``.

Elsewhere it would be told in UTC on one page and in local time on the next.
"""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

CODE = sorted(
    path
    for room in ("inventory", "claims", "config")
    for path in (ROOT / room).rglob("*.py")
    if "migrations" not in path.parts and path.name != "moments.py"
)
PAGES = sorted((ROOT / "templates").rglob("*.*"))

TURNS_A_CLOCK = {"astimezone", "localtime", "localdate", "make_naive", "strftime"}
_CLOCK_PARTS = re.compile(r"%-?[HIMpcXT]")
_UTC = re.compile(r"(dt\.|timezone\.)?(UTC|utc)")

ALLOWED = {
    # Counts hours on the clock that was given, for any zone; it shows no page.
    "inventory/rules/reckoning/periods.py": "astimezone",
    # What a person types into a field, and how it is shown to be typed over.
    "inventory/forms/core/day_fields.py": "format",
}


def offences(source, allowed=""):
    """Return each line of Python that tells a moment in a way of its own."""
    return [
        f"line {node.lineno}: {words}"
        for node in ast.walk(ast.parse(source))
        if (words := _offence(node)) and words != allowed
    ]


def _offence(node):
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        name = node.func.attr
        if name == "astimezone" and _is_utc(node.args):
            return ""
        if name in TURNS_A_CLOCK:
            return name
        if name == "date" and not node.args and _is_moment(node.func.value):
            return "date"
    if isinstance(node, ast.FormattedValue) and node.format_spec is not None:
        spec = ast.unparse(node.format_spec)
        # A compact stamp in the name of a file is for machines.
        if _CLOCK_PARTS.search(spec) and "%Y%m%dT" not in spec:
            return "format"
    return ""


def _is_utc(args):
    return len(args) == 1 and bool(_UTC.fullmatch(ast.unparse(args[0])))


def _is_moment(node):
    return isinstance(node, ast.Attribute) and node.attr.endswith("_at")


_PAGE_OFFENCES = (
    (
        re.compile(r"\|\s*(date|time|timesince|timeuntil|naturaltime)\b"),
        "a date filter",
    ),
    (re.compile(r"\|\s*(localtime|utc|timezone)\b|\{%\s*(now|load tz)\b"), "a clock"),
    (re.compile(r"\b\w+_at\s*\|\s*(?!dock_time:|dock_hour:)"), "another filter"),
    (re.compile(r"\{\{[^}|]*\b\w+_at\s*\}\}"), "a bare moment"),
    (re.compile(r"\bUTC\b"), "UTC"),
)


def page_offences(text):
    """Return each way of a template to show a moment without the dock's clock."""
    return [words for pattern, words in _PAGE_OFFENCES if pattern.search(text)]


def found_in(paths, look):
    """Return what is found, file by file; files without a find are left out."""
    named = {str(path.relative_to(ROOT)): path for path in paths}
    found = {
        name: look(name, path.read_text(encoding="utf-8"))
        for name, path in named.items()
    }
    return {name: words for name, words in found.items() if words}


def test_no_other_code_turns_a_clock():
    found = found_in(CODE, lambda name, text: offences(text, ALLOWED.get(name, "")))
    assert found == {}


def test_no_template_shows_a_moment_in_another_way():
    assert found_in(PAGES, lambda _name, text: page_offences(text)) == {}


def test_there_is_something_to_look_at():
    assert len(CODE) > 300
    assert len(PAGES) > 100


@pytest.mark.parametrize(
    "source",
    [
        "at.astimezone(zone).date()",
        "at.astimezone()",
        "timezone.localtime(at)",
        "timezone.localdate()",
        "at.strftime('%d %b')",
        "f'{row.received_at:%Y-%m-%d %H:%M}'",
        "f'{at:%I:%M %p}'",
        "row.made_at.date()",
    ],
)
def test_such_code_is_found(source):
    assert offences(source)


@pytest.mark.parametrize(
    "source",
    [
        "at.astimezone(UTC).isoformat()",
        "at.astimezone(dt.UTC)",
        "f'{day:%Y-%m-%d}'",
        "f'{at:%Y%m%dT%H%M%S%f}'",
        "row.arrived_on.date()",
    ],
)
def test_machine_forms_and_plain_days_are_let_be(source):
    assert offences(source) == []


@pytest.mark.parametrize(
    "text",
    [
        '{{ evidence.received_at|date:"Y-m-d H:i" }}',
        "{{ photo.taken_at|time }}",
        "{{ day|date:'Y-m-d' }}",
        "{{ check.checked_at|day }}",
        "{{ hold.placed_at }}",
        "{% now 'Y' %}",
        "{{ at|localtime }}",
        "received at 15:31 UTC",
    ],
)
def test_such_a_template_is_found(text):
    assert page_offences(text)


@pytest.mark.parametrize(
    "text",
    ["{{ row.arrived_at|dock_time:row.location }}", "{{ row.arrived_on|day }}"],
)
def test_the_docks_own_filters_are_let_be(text):
    assert page_offences(text) == []
