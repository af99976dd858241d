"""Ninety-two bad inputs are listed: each has its row here, or is named with its test."""

import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parents[2]

ELSEWHERE = {
    83: "tests/house/test_access_matrix.py",  # every address x role x location
    91: "tests/inventory/views/memos/test_memos.py",  # the one file that is read in
    92: "tests/inventory/commands/test_publish_root.py",  # the one mail that is sent
}


def numbers_here():
    """Return the numbers that a test's name or a row's first cell begins with."""
    found = set()
    for path in HERE.glob("test_*.py"):
        if path.name == Path(__file__).name:
            continue
        text = path.read_text()
        found |= {int(n) for n in re.findall(r"def test_f(\d+)_", text)}
        found |= {int(n) for n in re.findall(r'\(\s*"F(\d+)[ "]', text)}
    return found


def test_each_of_the_ninety_two_is_tried():
    assert numbers_here() | set(ELSEWHERE) == set(range(1, 93))


@pytest.mark.parametrize("path", ELSEWHERE.values())
def test_the_test_elsewhere_is_there(path):
    assert "def test_" in (ROOT / path).read_text()
