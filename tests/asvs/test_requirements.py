"""What the security standard asks of this house, requirement by requirement.

OWASP Application Security Verification Standard 5.0.0: ``requirements.csv`` has each
requirement of levels 1 and 2 that an application like this can meet, and the few of
level 3 that protect evidence. The numbers and levels are the standard's; they and what
each asks are from memory, in our own words: the text itself was not at hand. The counts
are the standard's own (345 in all: 70 of level 1, 183 of level 2, 92 of level 3), so a
row that is missing or in the wrong level is noticed.

A row stands as ``met`` (by the tests or the document that it names), ``operator``
(whoever runs the machine must do it; never counted as met), ``none`` (nothing of the
kind is here) or ``open`` (not met; it says why).
"""

import ast
import csv
from collections import Counter
from functools import cache

import pytest

from tests.prepared import ROOT

TESTS = ROOT / "tests"
OUT = {
    "4.3": (0, 2, "No GraphQL"),
    "4.4": (1, 3, "No WebSocket"),
    "6.8": (0, 4, "No other system signs anybody in"),
    "9": (4, 3, "No self-contained tokens"),
    "10": (5, 24, "No OAuth"),
    "17": (0, 7, "No WebRTC"),
}
"""Chapters and sections left out whole, with their requirements of levels 1 and 2."""


def _rows():
    with (TESTS / "asvs/requirements.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


ROWS = _rows()
MET = [row for row in ROWS if row["standing"] == "met"]


def count(level, *standings):
    return sum(row["level"] == level and row["standing"] in standings for row in ROWS)


@cache
def names_in(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


def test_every_requirement_of_both_levels_has_its_row():
    for level, whole in (("1", 70), ("2", 183)):
        left_out = sum(one[int(level) - 1] for one in OUT.values())
        rows = [row for row in ROWS if row["level"] == level]
        assert len(rows) + left_out == whole, level


def test_no_number_stands_twice_or_in_a_chapter_left_out():
    numbers = [row["number"] for row in ROWS]
    assert [one for one, many in Counter(numbers).items() if many > 1] == []
    for number in numbers:
        assert not any(number.startswith(f"{one}.") for one in OUT), number
    assert numbers == sorted(numbers, key=lambda one: [int(n) for n in one.split(".")])


@pytest.mark.parametrize("row", MET, ids=lambda row: row["number"])
def test_what_it_is_met_by_is_there(row):
    if row["where"].startswith("doc:"):
        _, path, words = row["where"].split(":", 2)
        assert words in (ROOT / path).read_text(encoding="utf-8")
        return
    for one in row["where"].split():
        path, _, name = one.partition("::")
        assert (TESTS / path).exists(), one
        assert not name or name in names_in(TESTS / path), one


def test_what_is_not_met_says_why():
    assert [row["number"] for row in ROWS if not row["where"].strip()] == []


def test_enough_is_met():
    assert count("1", "open") == 0
    assert count("1", "met") == 58  # the last one is a certificate: the operator's
    assert count("2", "met") >= 118
    assert count("3", "met") >= 5


def print_table():
    """Print how the requirements stand, and each that is not met."""
    for level in "123":
        stands = Counter(row["standing"] for row in ROWS if row["level"] == level)
        print(f"Level {level}: {dict(stands)}")
    for row in ROWS:
        if row["standing"] in {"operator", "open"}:
            print(
                f"{row['number']:>7} {row['standing']}: {row['what']}. {row['where']}"
            )
    for section, (_, _, why) in OUT.items():
        print(f"{section:>7} left out: {why}")


if __name__ == "__main__":
    print_table()
