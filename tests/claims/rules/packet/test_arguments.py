"""An opposing argument is written down only where a fact on record is behind it."""

import dataclasses

import pytest

from claims.rules.packet.arguments import ArgumentFacts, opposing_arguments

NAMES = [field.name for field in dataclasses.fields(ArgumentFacts)]


def test_a_record_without_facts_gives_none():
    assert opposing_arguments(ArgumentFacts()) == ()


@pytest.mark.parametrize("name", NAMES)
def test_each_fact_gives_its_one_argument_with_an_answer(name):
    (one,) = opposing_arguments(ArgumentFacts(**{name: "As recorded."}))
    assert one.fact == "As recorded."
    assert one.title
    assert one.answer


def test_all_together_are_as_many_as_the_facts():
    whole = opposing_arguments(ArgumentFacts(**dict.fromkeys(NAMES, "x")))
    assert len({one.title for one in whole}) == len(NAMES)
