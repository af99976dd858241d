"""What may be claimed of a crate on the way home, by whom, and by when.

Who is entitled: 49 U.S.C. 14706(a)(1), "the person entitled to recover under the receipt
or bill of lading", for "the actual loss or injury to the property" (text seen). Risk by
FOB terms: UCC 2-319(1) and 2-509(1), applied to empties by analogy (from memory). A part
missing of what arrived is a shortage; what never arrived, non-delivery (uniform bill of
2016 sec. 3(b), secondary source).
"""

from datetime import date

import pytest

from claims.rules.claim import way_home as rules
from claims.rules.claim.proof import ProofFacts, list_proof
from claims.rules.deadlines.counting import deadlines_for
from claims.rules.deadlines.facts import Facts

SUPPLIER = "Alder Works"


def crate(**over):
    return rules.HomeCrate(**{"kind": "lost", "loss_cents": 12_000, **over})


@pytest.mark.parametrize(
    ("facts", "left", "words"),
    [
        ({}, 12_000, ""),
        ({"credited_cents": 5_000}, 7_000, ""),  # 120.00 - 50.00
        ({"credited_cents": 12_000}, 0, "has credited it after all"),
        ({"credited_cents": 15_000}, 0, "has credited it after all"),
        ({"loss_cents": 0}, 0, "No loss of it is in the books"),
        ({"loss_cents": 0, "has_deposit": False}, 0, "No deposit was charged"),
        ({"is_decided": False, "kind": "damaged"}, 12_000, "is not decided"),
        ({"is_same_currency": False}, 12_000, "another currency"),
        ({"claim": "C-1"}, 12_000, "It is in claim C-1."),
    ],
)
def test_the_proven_loss_is_claimed_once_and_never_what_was_credited(
    facts, left, words
):
    row = crate(**facts)
    assert row.left_cents == left
    said = rules.why_not_claimed(row)
    assert words in said
    assert bool(said) is bool(words)


@pytest.mark.parametrize(
    ("terms", "risk", "claimant"),
    [
        ("destination", "us", "us"),
        ("unknown", "unknown", "us"),
        ("origin", "supplier", "supplier"),
    ],
)
def test_the_suppliers_terms_say_who_bears_the_loss(terms, risk, claimant):
    verdict = rules.decide_home_claimant(terms, SUPPLIER)
    assert (verdict.bears_risk, verdict.claimant) == (risk, claimant)
    cited = [one.authority for one in verdict.reasons]
    assert ("49 U.S.C. 14706(a)(1)" in cited) is (claimant == "us")
    assert bool(verdict.doubts) is (risk == "unknown")


def test_other_terms_are_no_answer():
    with pytest.raises(ValueError, match="Unknown terms"):
        rules.decide_home_claimant("cif", SUPPLIER)


@pytest.mark.parametrize(
    ("is_received", "crates", "lost", "damaged", "losses"),
    [
        (False, 6, 1, 0, ("non-delivery",)),
        (True, 6, 1, 0, ("shortage",)),
        (True, 6, 6, 0, ("non-delivery",)),
        (True, 6, 0, 1, ("damage",)),
        (True, 6, 1, 1, ("damage", "shortage")),
    ],
)
def test_a_loss_is_named_as_the_rules_of_carriage_name_it(
    *, is_received, crates, lost, damaged, losses
):
    facts = rules.TransitFacts(is_received, crates, lost, damaged)
    assert rules.losses_of(facts) == losses


@pytest.mark.parametrize(
    ("regime", "loss", "due"),
    [
        # 2016 bill, sec. 3(b): loss, nine months from the date of the bill of lading.
        ("us-motor", "non-delivery", date(2026, 8, 3)),
        ("us-motor", "shortage", date(2026, 8, 3)),
        # Damage, nine months from delivery: November 9, 2025.
        ("us-motor", "damage", date(2026, 8, 9)),
        # Older bill, sec. 3: nine months after a reasonable time for delivery has
        # elapsed, here the days in transit to November 8 (text seen).
        ("us-motor-older", "non-delivery", date(2026, 8, 8)),
    ],
)
def test_nine_months_run_from_the_bill_or_from_a_reasonable_time(regime, loss, due):
    facts = Facts(
        regime=regime,
        loss=loss,
        bill_on=date(2025, 11, 3),
        agreed_delivery_on=date(2025, 11, 8),
        delivered_on=date(2025, 11, 9),
    )
    found = next(one for one in deadlines_for(facts) if one.duty == "claim")
    assert found.due == due
    assert found.safe <= due


def test_the_papers_are_those_of_a_load_that_we_shipped():
    proof = list_proof(ProofFacts(outcomes=["short"], is_way_home=True))
    missing = {paper.key for paper in proof.missing}
    assert missing == {
        "bill-of-lading",
        "freight-bill",
        "supplier-invoice",
        "carrier-image",
        "non-receipt",
    }
    assert "receipt" not in {paper.key for paper in proof.papers}
    assert not proof.is_complete
    there = ("bill-of-lading", "freight-bill", "supplier-invoice", "non-receipt")
    full = ProofFacts(
        on_file=(*there, "carrier-image"),
        outcomes=["short"],
        is_way_home=True,
        amount_stated=True,
    )
    assert list_proof(full).is_complete
