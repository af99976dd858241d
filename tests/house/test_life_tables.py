"""The tables in DEVELOPERS.md of crates, returns and differences are the rules' own."""

from pathlib import Path

import pytest

from inventory.rules.crates import life as crates
from inventory.rules.memos import short_credits, suspense
from inventory.rules.returns import life as returns

DEVELOPERS = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


@pytest.mark.parametrize("rules", [crates, returns, short_credits, suspense])
def test_the_written_table_is_the_rules_own(rules):
    assert f"\n{rules.LIFE.table()}\n\n" in DEVELOPERS.read_text()
