"""What a claim still lacks: each paper, and each thing it must show."""

import pytest

from claims.rules.claim.papers import PAPERS
from claims.rules.claim.proof import ProofFacts, list_proof
from inventory.rules.core.vocabulary import EVIDENCE_KINDS

ALL = tuple(EVIDENCE_KINDS)


def proof(**facts):
    return list_proof(ProofFacts(**facts))


def state(found, key):
    return next(paper.state for paper in found.papers if paper.key == key)


def element(found, key):
    return next(each for each in found.elements if each.key == key)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.key)
def test_every_paper_is_filed_under_listed_evidence_and_has_its_person(paper):
    assert set(paper.kinds) <= set(EVIDENCE_KINDS)
    assert paper.who
    assert paper.to_do
    assert paper.needed == "always" or paper.why_not


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.key)
def test_a_paper_on_file_is_present_and_without_it_is_not(paper):
    kind = paper.kinds[0]
    assert state(proof(on_file={kind}), paper.key) == "present"
    assert state(proof(), paper.key) != "present"


def test_nothing_is_missing_when_all_is_on_file():
    found = proof(
        on_file=ALL,
        outcomes=("repair", "short"),
        has_concealed=True,
        amount_stated=True,
        freight_claimed=True,
    )
    assert found.missing == ()
    assert found.is_complete


@pytest.mark.parametrize(
    ("outcomes", "key", "expected"),
    [
        (("repair",), "non-receipt", "not needed"),
        (("short",), "non-receipt", "missing"),
        (("short",), "repair-estimate", "not needed"),
        (("short",), "inspection", "not needed"),
        (("total",), "repair-estimate", "not needed"),
        (("total",), "inspection", "missing"),
        (("repair",), "repair-estimate", "missing"),
    ],
)
def test_a_paper_is_asked_for_only_where_the_loss_needs_it(outcomes, key, expected):
    assert state(proof(outcomes=outcomes), key) == expected


def test_payment_of_freight_is_shown_only_when_freight_is_claimed():
    assert state(proof(), "freight-paid") == "not needed"
    assert state(proof(freight_claimed=True), "freight-paid") == "missing"


def test_a_managers_reason_stands_in_for_a_paper_and_is_shown():
    found = proof(waived={"packing-list": "One machine, no list was made."})
    paper = next(each for each in found.papers if each.key == "packing-list")
    assert paper.state == "not needed"
    assert "One machine" in paper.why


def test_a_paper_that_is_there_counts_even_when_it_was_waived():
    found = proof(on_file={"packing-list"}, waived={"packing-list": "Lost."})
    assert state(found, "packing-list") == "present"


def test_a_waiver_serves_as_the_inspection():
    assert state(proof(on_file={"inspection-waiver"}), "inspection") == "present"


def test_the_bill_does_not_speak_for_what_lies_inside_a_crate():
    bill = {"bill-of-lading"}
    assert element(proof(on_file=bill), "origin").holds
    hidden = element(proof(on_file=bill, has_concealed=True), "origin")
    assert not hidden.holds
    assert hidden.to_do
    both = {*bill, "origin-condition"}
    assert element(proof(on_file=both, has_concealed=True), "origin").holds


def test_no_amount_no_claim():
    amount = element(proof(on_file=ALL), "amount")
    assert not amount.holds
    assert amount.missing == ("A stated amount",)
    assert element(proof(on_file=ALL, amount_stated=True), "amount").holds


def test_a_clear_receipt_leaves_apparent_damage_to_be_shown_otherwise():
    arrival = element(proof(on_file=ALL), "arrival")
    assert arrival.missing == ("Our exceptions on the receipt",)
    assert element(proof(on_file=ALL, has_exception_on_receipt=True), "arrival").holds
    assert element(proof(on_file=ALL, has_concealed=True), "arrival").holds


def test_each_missing_thing_comes_with_what_to_do():
    for each in proof(outcomes=("repair", "short"), freight_claimed=True).elements:
        assert len(each.missing) == len(each.to_do) > 0
