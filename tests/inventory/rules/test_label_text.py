"""Labels of the vocabulary inside a sentence."""

import pytest

from inventory.rules.core.text import mid_sentence


@pytest.mark.parametrize(
    ("label", "inside"),
    [
        ("Exceptions on the POD", "exceptions on the POD"),
        ("POD not received", "POD not received"),
        ("Bill of lading", "bill of lading"),
        ("", ""),
    ],
)
def test_a_label_inside_a_sentence_keeps_its_abbreviations(label, inside):
    assert mid_sentence(label) == inside
