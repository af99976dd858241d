"""The tables and the diagram of lives in DEVELOPERS.md are the rules' own."""

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


def test_the_diagram_of_a_claim_is_the_rules_own():
    drawn = f"\n```mermaid\n{lifecycle.LIFE.diagram()}\n```\n"

    assert drawn in DEVELOPERS.read_text()
    assert "\n    sent --> received: Record proof of delivery\n" in drawn
    assert "\n    settled --> before: Reopen the claim\n" in drawn
