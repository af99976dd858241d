"""The lengths that come from the library, against the table that stood here before."""

import pytest

from inventory.rules.codes import gs1

# GS1 General Specifications, figure 7.8.5-2 (predefined lengths), and the first digits
# of every AI. Text seen in the GS1 Barcode Syntax Dictionary but for 04, 14, 18 and 19,
# which are from memory.
WHOLE = {
    **dict.fromkeys(("01", "02", "03", "41"), 16),
    "00": 20,
    "04": 18,
    "20": 4,
    **{str(first): 8 for first in range(11, 20)},
    **{str(first): 10 for first in range(31, 37)},
}
AI = {
    **dict.fromkeys(("00", "01", "02", "03", "04", "20", "21", "22", "30", "37"), 2),
    **{str(first): 2 for first in (*range(10, 20), *range(90, 100))},
    **dict.fromkeys(("23", "24", "25", "40", "41", "42", "71"), 3),
    **{str(first): 4 for first in (*range(31, 37), 39, 43, 70, 72, 80, 81, 82)},
}


def test_every_ai_has_the_length_it_had():
    assert gs1._lengths().ai == AI


def test_every_predefined_length_is_what_it_was():
    assert gs1._lengths().whole == WHOLE


@pytest.mark.parametrize("first", sorted(WHOLE))
def test_a_value_of_predefined_length_needs_no_separator(first):
    ai = first.ljust(AI[first], "0")
    value = "1" * (WHOLE[first] - len(ai))

    assert gs1.split_run(f"{ai}{value}21X") == (
        gs1.Element(ai, value),
        gs1.Element("21", "X"),
    )
