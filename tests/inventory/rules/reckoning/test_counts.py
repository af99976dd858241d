"""Counted against billed, over every truck of the bill."""

import pytest

from inventory.rules.core.paperwork import PaperFacts, missing_papers
from inventory.rules.reckoning.counts import TruckCount, compare_count, pieces_in_words

CASES = [
    # billed, trucks, state, difference
    (4, [TruckCount(4)], "agrees", 0),
    (4, [TruckCount(3)], "short", -1),
    (4, [TruckCount(5)], "over", 1),
    (4, [TruckCount(3, rest_to_follow=True)], "part", -1),
    (4, [TruckCount(3, rest_to_follow=True), TruckCount(1)], "agrees", 0),
    (4, [TruckCount(2, rest_to_follow=True), TruckCount(1)], "short", -1),
    (4, [TruckCount(3, rest_to_follow=True), TruckCount(2)], "over", 1),
    (4, [TruckCount(3), TruckCount(None)], "unknown", 0),
    (4, [TruckCount(5), TruckCount(None)], "over", 1),
    (4, [TruckCount(4), TruckCount(None)], "unknown", 0),
    (4, [TruckCount(None)], "unknown", 0),
    (None, [TruckCount(4)], "unknown", 0),
    (4, [], "unknown", 0),
    (1, [TruckCount(0)], "short", -1),
]


@pytest.mark.parametrize(("billed", "trucks", "state", "difference"), CASES)
def test_a_bill_stands_as_its_trucks_were_counted(billed, trucks, state, difference):
    count = compare_count(billed=billed, unit="crate", trucks=trucks)

    assert (count.state, count.difference) == (state, difference)
    assert count.is_wrong == (state in {"over", "short"})


def test_the_sentence_speaks_the_bills_own_unit():
    count = compare_count(billed=2, unit="skid", trucks=[TruckCount(1)])

    assert count.sentence == "2 skids billed, 1 counted: 1 skid short."


def test_a_part_delivery_says_what_is_to_follow():
    count = compare_count(
        billed=6, unit="crate", trucks=[TruckCount(4, rest_to_follow=True)]
    )

    assert count.sentence.endswith("partial delivery, 2 crates to follow.")


def test_one_is_one_and_none_are_many():
    assert [pieces_in_words(n, "pallet") for n in (0, 1, 2)] == [
        "0 pallets",
        "1 pallet",
        "2 pallets",
    ]


def papers(**over):
    values = {
        "supplier": "Harrow & Tine Works",
        "bol_number": "BOL-1",
        "has_bol_date": True,
        "delivery_terms": "origin",
        "freight_payer": "collect",
        "pieces_billed": 4,
        "billed_weight": "3200",
        "freight_charge_cents": 0,
        "units": 2,
        "units_without_serial": 0,
        "units_without_value": 0,
    }
    return missing_papers(PaperFacts(**{**values, **over}))


def test_full_papers_lack_nothing_even_where_the_freight_was_free():
    assert papers() == ()


@pytest.mark.parametrize(
    ("over", "words"),
    [
        ({"supplier": ""}, "supplier"),
        ({"bol_number": ""}, "BOL number"),
        ({"has_bol_date": False}, "BOL date"),
        ({"pieces_billed": None}, "pieces billed"),
        ({"billed_weight": ""}, "weight"),
        ({"delivery_terms": "unknown"}, "delivery terms"),
        ({"freight_payer": "unknown"}, "who pays the freight"),
        ({"freight_charge_cents": None}, "freight charge"),
        ({"units": 0}, "machines"),
        ({"units_without_serial": 1}, "serial"),
        ({"units_without_value": 2}, "2 values"),
    ],
)
def test_each_gap_has_its_word(over, words):
    assert papers(**over) == (words,)


@pytest.mark.parametrize(
    ("billed", "pieces", "sentence"),
    [
        (None, 4, "4 crates counted. Pieces billed not known yet."),
        (None, None, "Not counted. Pieces billed not known yet."),
        (4, None, "4 crates billed, not counted yet."),
    ],
)
def test_what_is_not_known_yet_is_said(billed, pieces, sentence):
    count = compare_count(billed=billed, unit="crate", trucks=[TruckCount(pieces)])

    assert count.sentence == sentence


def test_a_truck_that_was_not_counted_is_said():
    count = compare_count(
        billed=4, unit="crate", trucks=[TruckCount(0), TruckCount(None)]
    )

    assert count.sentence == (
        "4 crates billed, 0 counted so far; one truck not counted yet."
    )
