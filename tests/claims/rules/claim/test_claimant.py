"""The delivery terms decide who bears the loss; who paid the freight never does."""

import pytest

from claims.rules.claim.claimant import decide_claimant
from claims.rules.claim.risk import ClaimantFacts
from inventory.rules.core.vocabulary import FREIGHT_PAYERS

MAKER = "Alder Works"


def decide(**facts):
    return decide_claimant(ClaimantFacts(supplier=MAKER, **facts))


@pytest.mark.parametrize("payer", FREIGHT_PAYERS)
@pytest.mark.parametrize(
    ("terms", "risk", "claimant"),
    [
        ("origin", "us", "us"),
        ("destination", "supplier", "supplier"),
        ("unknown", "unknown", "us"),
    ],
)
def test_the_terms_decide_whoever_paid_the_freight(*, terms, payer, risk, claimant):
    verdict = decide(delivery_terms=terms, freight_payer=payer)
    assert (verdict.bears_risk, verdict.claimant) == (risk, claimant)
    assert any("not who bears the loss" in reason.text for reason in verdict.reasons)


@pytest.mark.parametrize("payer", ["prepaid", "prepaid-billed"])
def test_a_supplier_that_files_on_prepaid_freight_claims_but_the_risk_stays(payer):
    verdict = decide(
        delivery_terms="origin", freight_payer=payer, supplier_files_when_prepaid=True
    )
    assert (verdict.bears_risk, verdict.claimant) == ("us", "supplier")
    assert any("file the claim yourself" in doubt for doubt in verdict.doubts)


def test_that_agreement_does_not_reach_freight_we_pay():
    verdict = decide(
        delivery_terms="origin",
        freight_payer="collect",
        supplier_files_when_prepaid=True,
    )
    assert verdict.claimant == "us"


def test_goods_sent_wrong_leave_the_risk_with_the_supplier_until_accepted():
    wrong = {"delivery_terms": "origin", "shipped_wrong": True}
    assert decide(answer="rejected", **wrong).bears_risk == "supplier"
    assert decide(answer="accepted", **wrong).bears_risk == "us"


def test_refusing_goods_at_our_risk_gives_the_loss_back_to_nobody():
    verdict = decide(delivery_terms="origin", answer="rejected")
    assert verdict.bears_risk == "us"
    assert any("does not shift the loss" in doubt for doubt in verdict.doubts)


def test_the_suppliers_own_truck_has_no_carrier_to_claim_from():
    verdict = decide(delivery_terms="origin", regime="private")
    assert verdict.bears_risk == "supplier"
    assert "no carrier" in verdict.summary
    assert len(verdict.notify) == 1


def test_the_goods_are_held_protected_and_kept_with_their_packaging():
    duties = " ".join(decide(delivery_terms="destination").duties)
    for word in ("Hold the goods", "Protect", "Keep the crate", "signed receipt"):
        assert word in duties


def test_rejected_goods_at_the_suppliers_risk_follow_its_instructions():
    verdict = decide(delivery_terms="destination", answer="rejected")
    assert any("reasonable instructions" in duty for duty in verdict.duties)


def test_nothing_is_held_when_nothing_came():
    verdict = decide(delivery_terms="origin", answer="not-delivered")
    assert not any("Hold" in duty for duty in verdict.duties)


def test_a_return_authorization_is_asked_for_where_it_is_needed():
    verdict = decide(needs_return_authorization=True)
    assert any("return authorization" in duty for duty in verdict.duties)


def test_outside_the_us_the_reader_is_told_that_this_is_us_sales_law():
    told = "US sales law"
    assert any(told in doubt for doubt in decide(regime="cmr").doubts)
    assert not any(told in doubt for doubt in decide(regime="us-rail").doubts)


def test_both_carrier_and_supplier_are_told():
    carrier, supplier = decide(delivery_terms="origin").notify
    assert "carrier" in carrier
    assert supplier.startswith(MAKER)


@pytest.mark.parametrize("facts", [{"delivery_terms": "cif"}, {"answer": "maybe"}])
def test_words_that_are_not_listed_are_refused(facts):
    with pytest.raises(ValueError, match="Unknown"):
        decide(**facts)
