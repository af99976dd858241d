"""rules/ knows no binary fraction, no clock, no file, no Django."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted(
    path
    for app in ("inventory", "claims")
    for path in (ROOT / app / "rules").rglob("*.py")
)
NAMES = [str(path.relative_to(ROOT)) for path in MODULES]

FOREIGN = {
    "django",
    "PIL",
    "reportlab",
    "numpy",
    "os",
    "io",
    "pathlib",
    "time",
    "random",
}
CLOCKS = {"today", "now", "utcnow", "time", "monotonic", "perf_counter"}
FILES = {"open", "print", "input", "exec", "eval"}


def offences(source):
    """Return what the source does that a rule may not, with its line."""
    found = []
    for node in ast.walk(ast.parse(source)):
        words = _offence(node)
        if words:
            found.append(f"line {node.lineno}: {words}")
    return found


def _offence(node):
    if isinstance(node, ast.Constant) and isinstance(node.value, float | complex):
        return "a float literal"
    if isinstance(node, ast.Name) and node.id in {"float", "complex"}:
        return "the name float"
    if isinstance(node, ast.Attribute) and node.attr in {
        "as_integer_ratio",
        "total_seconds",
    }:
        return f"{node.attr} deals in floats"
    if isinstance(node, ast.Import | ast.ImportFrom):
        return _import(node)
    if isinstance(node, ast.Call):
        return _call(node.func)
    return ""


def _import(node):
    if isinstance(node, ast.ImportFrom):
        modules = [node.module or ""]
    else:
        modules = [alias.name for alias in node.names]
    return ", ".join(FOREIGN & {module.partition(".")[0] for module in modules})


def _call(func):
    if isinstance(func, ast.Name) and func.id in FILES:
        return f"{func.id}()"
    if isinstance(func, ast.Attribute) and func.attr in CLOCKS:
        return f"reads the clock: {func.attr}()"
    return ""


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_a_rule_has_no_float_no_clock_no_file_and_no_django(path):
    assert offences(path.read_text(encoding="utf-8")) == []


def test_there_are_rules_to_look_at():
    assert len(MODULES) > 20


@pytest.mark.parametrize(
    "source",
    [
        "x = 1.5",
        "x = float('1')",
        "import django.db",
        "from django.db import models",
        "import datetime\ndatetime.date.today()",
        "import datetime\ndatetime.datetime.now()",
        "import time",
        "open('x')",
        "(a - b).total_seconds()",
    ],
)
def test_the_look_finds_what_it_looks_for(source):
    assert offences(source)
