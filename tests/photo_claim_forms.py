"""The dated acts on a claim, each with the letters and photos that may come with it."""

from django.urls import reverse

from claims.forms.claim.answers import (
    AcceptForm,
    AskInspectionForm,
    AskPapersForm,
    CounterForm,
    DisallowanceForm,
    InspectionForm,
    OfferForm,
    PermissionForm,
    SalvageForm,
    SupplyPapersForm,
)
from claims.forms.claim.bankruptcies import ProofOfClaimForm
from claims.forms.claim.endings import (
    GiveUpForm,
    HandOverForm,
    SettleForm,
    TellWithdrawalForm,
)
from claims.forms.claim.offers import RefuseForm
from claims.forms.claim.payments import PaymentForm
from claims.forms.claim.steps import AcknowledgementForm
from tests import making
from tests.claims.acts import ask_nobody, calls_of, last_payment
from tests.claims.stage import claim_it, set_stage, step

OUT = ("send", "receive")

ACTS = [
    (AcknowledgementForm, "record_acknowledgement", OUT, {"number": "PW-1"}, "number"),
    (OfferForm, "record_offer", OUT, {"amount": "9.00"}, "amount"),
    (CounterForm, "record_counter", (*OUT, "offer"), {"amount": "9.00"}, "amount"),
    (
        AcceptForm,
        "accept_offer",
        (*OUT, "offer", "ask-nobody"),
        {"amount": "9.00"},
        "amount",
    ),
    (RefuseForm, "refuse_offer", (*OUT, "offer"), {"note": "Too little."}, "note"),
    (
        DisallowanceForm,
        "record_disallowance",
        OUT,
        {"part": "whole", "reason": "Packing was poor."},
        "reason",
    ),
    (
        AskInspectionForm,
        "ask_inspection",
        OUT,
        {"how": "email", "note": "Now."},
        "note",
    ),
    (
        InspectionForm,
        "record_inspection",
        (*OUT, "ask-inspection"),
        {"outcome": "waived", "words": "O. Parr"},
        "words",
    ),
    (
        PermissionForm,
        "record_permission",
        OUT,
        {"about": "repair", "answer": "yes", "words": "O. Parr"},
        "words",
    ),
    (AskPapersForm, "ask_papers", OUT, {"reason": "The invoice."}, "reason"),
    (
        SupplyPapersForm,
        "supply_papers",
        OUT,
        {"how": "email", "reason": "The invoice."},
        "reason",
    ),
    (
        ProofOfClaimForm,
        "record_proof_of_claim",
        ("bankrupt",),
        {"words": "Claim 14"},
        "words",
    ),
    (SalvageForm, "record_salvage", OUT, {"amount": "9.00", "words": "Otis"}, "words"),
    (
        PaymentForm,
        "record_payment",
        OUT,
        {"amount": "9.00", "method": "check"},
        "amount",
    ),
    (SettleForm, "record_settlement", (*OUT, "pay"), {"note": "Agreed."}, "note"),
    (GiveUpForm, "give_up_claim", OUT, {"reason": "Too small."}, "reason"),
    (
        HandOverForm,
        "hand_over_claim",
        (),
        {"how": "email", "words": "Its claims desk"},
        "words",
    ),
    (
        TellWithdrawalForm,
        "tell_withdrawal",
        (*OUT, "withdraw"),
        {"how": "email", "words": "Its claims desk"},
        "words",
    ),
]
"""Form, address, the acts before it, what a good sending says, whose words stay."""

WRONG = {GiveUpForm: ("reason", "")}


def preparing(name, before, data):
    """Return the function that brings a claim so far and says what a form sends."""

    def prepare(who):
        claimant = "supplier" if name == "hand_over_claim" else "us"
        claim = claim_it(who, set_stage(who), claimant=claimant)
        for act in before:
            if act == "bankrupt":
                making.make_bankruptcy(claim.shipment.carrier, recorded_by=who.mina)
            elif act == "ask-nobody":
                ask_nobody(claim, step(who, claim))
            else:
                calls_of(claim)[act](step(who, claim))
        claim.refresh_from_db()
        stale = {"version": claim.version, **data}
        if name != "give_up_claim":
            stale["on"] = "2026-03-16"
        return reverse(name, args=[claim.pk]), stale

    return prepare


def deciding(who):
    """Bring a claim to a payment that waits for a decision."""
    claim = claim_it(who, set_stage(who))
    for act in (*OUT, "pay"):
        calls_of(claim)[act](step(who, claim))
    claim.refresh_from_db()
    data = {
        "version": claim.version,
        "on": "2026-03-16",
        "choice": "part",
        "note": "So.",
    }
    return reverse("decide_payment", args=[last_payment(claim).pk]), data


def new_payment(who):
    """Return the address at which a payment of a sent claim is recorded."""
    claim = making.make_claim(
        making.make_shipment(location=who.riverside), state="sent", sent_on="2026-03-10"
    )
    making.make_claim_line(claim)
    return reverse("record_payment", args=[claim.pk])


def old_payment(name):
    """Return the function that returns the address of an act on a payment."""

    def prepare(who):
        new = making.make_claim(
            making.make_shipment(location=who.riverside),
            state="sent",
            sent_on="2026-03-10",
        )
        making.make_claim_line(new)
        return reverse(name, args=[making.make_claim_payment(new).pk])

    return prepare
