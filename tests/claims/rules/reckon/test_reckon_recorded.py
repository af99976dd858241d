"""What ``reckon`` answered in version 0.2.0 it answers today, but for its sentences."""

from collections import Counter

import pytest

from claims.rules.reckon.subjects import SUBJECTS
from tests.claims.rules.reckon.reckoned_again import (
    ask_again,
    recorded,
    sentences,
    without_sentences,
)

ROWS = recorded()


@pytest.mark.parametrize("subject", [*SUBJECTS, "dates", ""])
def test_keys_dates_amounts_flags_and_codes_stand(subject):
    rows = [row for row in ROWS if row["subject"] == subject]
    assert rows
    for row in rows:
        assert without_sentences(ask_again(row)) == without_sentences(row)


def test_two_hundred_are_recorded_and_each_subject_is_answered_and_refused():
    assert len(ROWS) == 200
    found = Counter((row["subject"], row["code"]) for row in ROWS)
    assert all(
        found[subject, code] >= 3
        for subject in ("damages", "credit")
        for code in (0, 2)
    )
    assert all(found[subject, 0] and found[subject, 2] for subject in SUBJECTS)


def test_a_refusal_is_one_line():
    for row in ROWS:
        if row["code"]:
            refusal = ask_again(row)["refusal"]
            assert refusal
            assert "\n" not in refusal


def test_the_comparison_leaves_out_sentences_and_nothing_else():
    row = {"code": 0, "answer": {"due": "2026-11-30", "steps": ["a", "b"]}}
    other = {"code": 0, "answer": {"due": "2026-11-30", "steps": ["c"]}}
    later = {"code": 0, "answer": {"due": "2026-12-01", "steps": ["a", "b"]}}
    assert without_sentences(row) == without_sentences(other)
    assert without_sentences(row) != without_sentences(later)
    assert sentences(row) == {".answer.steps.0": "a", ".answer.steps.1": "b"}
    assert sentences({"problem": None, "refusal": "No."}) == {".refusal": "No."}
