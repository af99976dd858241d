"""The table of the crate's life in DEVELOPERS.md is the one the rules hold."""

from pathlib import Path

from inventory.rules.crates import life_table

DEVELOPERS = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


def test_the_written_table_is_the_rules_own():
    assert life_table() in DEVELOPERS.read_text()
