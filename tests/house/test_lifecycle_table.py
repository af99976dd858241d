"""The table of the claim's life in DEVELOPERS.md is the one the rules hold."""

from pathlib import Path

from claims.rules.claim.life import ACTS, STATES

DEVELOPERS = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


def lifecycle_table():
    """Return the rules' table of acts as Markdown."""
    rows = ["| act | from | to |", "|---|---|---|"]
    for act in ACTS.values():
        starts = ", ".join(state for state in STATES if state in act.starts)
        rows.append(f"| {act.label} | {starts} | {act.ends or 'stays'} |")
    return "\n".join(rows)


def test_the_written_table_is_the_rules_own():
    assert lifecycle_table() in DEVELOPERS.read_text()
