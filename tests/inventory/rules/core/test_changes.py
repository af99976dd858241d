"""A story says what changed in trade words."""

import pytest

from inventory.rules.core.changes import changed_words
from inventory.rules.core.event_kinds import sentence


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ([], "nothing"),
        (["bol_on"], "BOL date"),
        (["freight_charge_cents", "carrier_id"], "freight charge, carrier"),
        (["seal_number", "pro_number"], "seal number, PRO"),
    ],
)
def test_columns_are_told_in_words(names, words):
    assert changed_words(names) == words


@pytest.mark.parametrize(("count", "words"), [(1, "1 crate listed"), (3, "3 crates")])
def test_a_sentence_counts_as_people_do(count, words):
    assert words in sentence("crate.added", {"count": count, "pro": "771"})


def test_a_sentence_keeps_a_brace_that_a_person_typed():
    assert "{name}" in sentence("hold.placed", {"unit": "TX", "reason": "{name}"})
