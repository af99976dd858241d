"""The command: standard input to standard output, code 2 and one line for bad input."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
FIVE = b'{"from": "2026-11-20", "count": 5, "unit": "business-days", "calendar": "US"}'


@pytest.fixture
def run(tmp_path):
    """Return a function that runs the command where no database exists."""
    environment = {**os.environ, "DOCK_DATA_DIR": str(tmp_path / "data")}
    environment.pop("DATABASE_URL", None)

    def run_it(*words, given=b""):
        command = [sys.executable, str(ROOT / "manage.py"), "reckon", *words]
        return subprocess.run(
            command, input=given, capture_output=True, check=False, env=environment
        )

    return run_it


def test_it_answers_on_standard_output_alone_and_makes_no_database(run, tmp_path):
    done = run("period", given=FIVE)
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout)["due"] == "2026-11-30"
    assert not list(tmp_path.rglob("*.sqlite*"))
    assert not list(tmp_path.rglob("*.db"))


@pytest.mark.one_in(3)
@pytest.mark.parametrize(
    ("words", "given"),
    [
        (["period"], b""),
        (["period"], b"\xff\xfe"),
        (["period"], b'{"a\\nb": "\\ud800"}'),
        (["dates"], b"{}"),
        ([], b"{}"),
    ],
)
def test_bad_input_ends_with_code_two_and_one_line(run, words, given):
    done = run(*words, given=given)
    assert (done.returncode, done.stdout) == (2, b"")
    assert len(done.stderr.decode().strip().splitlines()) == 1
