"""Imports run downward only, as pyproject.toml states it."""

import subprocess
import sys
from pathlib import Path

from tests.house.running import ROOT


def test_every_import_contract_is_kept():
    tool = Path(sys.executable).with_name("lint-imports")

    ended = subprocess.run(
        [tool, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False
    )

    assert ended.returncode == 0, ended.stdout + ended.stderr
    assert " 0 broken" in ended.stdout
