"""A table that the upper floor completes once."""

import pytest

from inventory.rules.core.registry import RegistrationError, Registry


def test_it_reads_as_both_floors_together():
    table = Registry("acts", {"see": 1})
    table.complete({"price": 2})

    assert dict(table) == {"see": 1, "price": 2}
    assert len(table) == 2
    assert "price" in table


def test_a_second_registration_is_refused_even_of_nothing_new():
    table = Registry("acts", {})
    table.complete({})

    with pytest.raises(RegistrationError, match="registered already"):
        table.complete({"price": 2})

    assert "price" not in table


def test_a_key_that_is_taken_is_refused_and_nothing_is_added():
    table = Registry("acts", {"see": 1})

    with pytest.raises(RegistrationError, match="Taken in the acts: see"):
        table.complete({"price": 2, "see": 3})

    assert dict(table) == {"see": 1}


def test_what_was_handed_in_cannot_change_the_table_later():
    own = {"see": 1}
    table = Registry("acts", own)
    own["price"] = 2

    assert dict(table) == {"see": 1}
