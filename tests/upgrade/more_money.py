"""Claims on their way to money: answers, payments, and the ends they come to."""

from decimal import Decimal

from claims.actions.claim import answers, endings
from claims.actions.claim.costs import enter_costs
from claims.actions.claim.overlap import answer_overlap
from claims.actions.claim.payments import (
    Received,
    decide_payment,
    record_payment,
    reverse_payment,
)
from claims.actions.claim.steps import Step, record_receipt, send_claim
from claims.rules.claim.offer_facts import Costs
from claims.rules.letters.overlap import OverlapAnswer
from fixtures.steps import step
from inventory.models import Evidence


def tell_more_money(t, make):
    """Bring a claim to each state of the money; ``make`` makes one by its number."""
    claims = {
        name: make(70 + place)
        for place, name in enumerate(
            ("countered", "accepted", "not-pursued", "withdrawing", "told")
        )
    }
    for claim in claims.values():
        send_claim(claim=claim, how="post", step=step_with(t, claim, 36))
        record_receipt(
            claim=claim, step=step_with(t, claim, 34, proof="Signed by R. Voss")
        )
    _inspected(t, claims["countered"])
    _bargained(t, claims["countered"])
    _paid(t, claims["accepted"])
    _ended(t, claims)


def tell_hand_over(t, claim):
    """Let the supplier take over the claim that is its own to file."""
    got = step_with(t, claim, 9, proof="Its claims desk")
    endings.hand_over(claim=claim, how="email", step=got)


def step_with(t, claim, days, **over):
    """Return an act so many days ago, with what else it says."""
    plain = step(t, claim, days)
    values = {
        "person": plain.person,
        "at": plain.at,
        "today": plain.today,
        "version": plain.version,
        "on": plain.on,
    }
    return Step(**{**values, **over})


def _inspected(t, claim):
    letter = Evidence.objects.filter(shipment=claim.shipment).order_by("pk")[:1]
    answers.ask_inspection(claim=claim, how="email", step=step_with(t, claim, 33))
    missed = step_with(
        t, claim, 28, reason="Our own report is here.", files=tuple(letter)
    )
    answers.record_inspection(claim=claim, outcome="missed", step=missed)
    answers.record_permission(
        claim=claim,
        about="repair",
        allowed=True,
        step=step_with(t, claim, 27, proof="R. Voss", whom="Its insurer"),
    )
    answers.ask_papers(
        claim=claim,
        by_day=t.ago(10),
        step=step_with(t, claim, 26, reason="The paid freight bill."),
    )
    supplied = step_with(t, claim, 25, reason="The paid freight bill.")
    answers.supply_papers(claim=claim, how="email", step=supplied)


def _bargained(t, claim):
    answers.record_disallowance(
        claim=claim,
        step=step_with(t, claim, 24, reason="Packing.", proof="R. Voss"),
        denial=answers.Denial("packing", 4_000),
    )
    answers.record_offer(claim=claim, cents=5_000, step=step_with(t, claim, 20))
    answers.record_counter(claim=claim, cents=8_000, step=step_with(t, claim, 18))


def _paid(t, claim):
    answers.record_salvage(
        claim=claim, cents=1_500, step=step_with(t, claim, 30, proof="Otis Parr")
    )
    answers.record_offer(claim=claim, cents=3_000, step=step_with(t, claim, 22))
    refused = step_with(t, claim, 21, reason="Too little.")
    answers.record_refusal(claim=claim, step=refused)
    answers.record_offer(claim=claim, cents=7_000, step=step_with(t, claim, 20))
    _judged(t, claim)
    answers.accept_offer(claim=claim, cents=7_000, step=step_with(t, claim, 19))
    wrong = _pay(t, claim, 12, Received(1_000, "card", "Slip 4"))
    reverse_payment(
        payment=wrong, step=step_with(t, claim, 12, reason="Another claim.")
    )
    credit = Received(2_000, "credit", "CM 88", "PRO 7711")
    part = _pay(t, claim, 11, credit)
    decide_payment(payment=part, choice="part", step=step_with(t, claim, 10))
    for choice in ("return", "ask", "deposited"):
        held = _pay(t, claim, 9, Received(1_000, "check", "Check 5", in_full=True))
        decide_payment(payment=held, choice=choice, step=step_with(t, claim, 8))
    decide_payment(payment=held, choice="repaid", step=step_with(t, claim, 7))


def _judged(t, claim):
    """Enter what going on costs, and who else was told of the loss or paid for it."""
    costs = Costs(650_000, "The court's page", 9_500, 7_000, 250_000, Decimal("4.5"), 9)
    for of in (None, claim):
        enter_costs(
            location=claim.location,
            claim=of,
            costs=costs,
            person=t.manager,
            at=t.moment(t.ago(20), 10),
        )
    said = OverlapAnswer("paid", "Harbor Mutual", 2_000, holds_right=True)
    for one in (OverlapAnswer("told", "Harbor Mutual", supplier_cents=500), said):
        answer_overlap(claim=claim, said=one, step=step_with(t, claim, 20))


def _pay(t, claim, days, received):
    return record_payment(
        claim=claim, received=received, step=step_with(t, claim, days)
    )


def _ended(t, claims):
    given_up = claims["not-pursued"]
    for days in (20, 18):
        reason = {"reason": "Too small for a suit."}
        endings.give_up(claim=given_up, step=step_with(t, given_up, days, **reason))
        if days > 18:
            again = step_with(t, given_up, days, reason="They called.")
            endings.reopen_claim(claim=given_up, step=again)
    for name in ("withdrawing", "told"):
        claim = claims[name]
        why = step_with(t, claim, 20, reason="The supplier paid.")
        endings.withdraw_claim(claim=claim, step=why)
    told = claims["told"]
    proof = step_with(t, told, 19, proof="Its claims desk")
    endings.tell_withdrawal(claim=told, how="email", step=proof)
