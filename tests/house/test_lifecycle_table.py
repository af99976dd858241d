"""The tables of the lives of claims and notices in DEVELOPERS.md are the rules' own."""

from pathlib import Path

import pytest

from claims.rules.claim import life as lifecycle
from claims.rules.letters import claim_letter_life as letter_life
from claims.rules.letters import life as notice_life
from inventory.rules.mail import life as mail_life

DEVELOPERS = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


@pytest.mark.parametrize("rules", [lifecycle, notice_life, letter_life, mail_life])
def test_the_written_table_is_the_rules_own(rules):
    assert f"\n{rules.LIFE.table()}\n\n" in DEVELOPERS.read_text()
