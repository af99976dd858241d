"""Every dated act on a claim, by its key in the life; each takes its step."""

from contextlib import suppress

from django.db import transaction

from claims.actions.claim import answers, endings, payments
from claims.actions.claim import steps as claim_steps
from claims.actions.claim.addressees import address_claim
from claims.actions.claim.bankruptcies import record_proof_of_claim
from claims.actions.claim.decisions import decide_paper
from claims.actions.claim.overlap import answer_overlap
from claims.actions.claim.paper_tasks import Given, give_paper
from claims.rules.letters.overlap import OverlapAnswer
from inventory.actions.core.versions import RefusedError


def last_payment(claim):
    """Return the payment of a claim that was recorded last."""
    return claim.payments.filter(reverses=None).latest("number")


def ask_nobody(claim, step):
    """Answer that no insurer was notified and the supplier credited nothing."""
    return answer_overlap(claim=claim, said=OverlapAnswer(), step=step)


def accept(claim, step):
    """Accept 1.00 once it is asked who else may have paid."""
    with transaction.atomic():
        with suppress(RefusedError):  # a closed claim is refused by the act itself
            ask_nobody(claim, step)
        return answers.accept_offer(claim=claim, cents=100, step=step)


def calls_of(claim):
    """Return the call of each act on this claim."""
    return {
        "address": lambda s: address_claim(
            claim=claim, to=claim.shipment.carrier, step=s
        ),
        "give-paper": lambda s: give_paper(
            claim=claim, given=Given("packing-list", s.person, s.today), step=s
        ),
        "prove": lambda s: record_proof_of_claim(claim=claim, step=s),
        "refile": lambda s: claim_steps.refile_claim(
            claim=claim, sending=claim_steps.Sending("email"), step=s
        ),
        "send": lambda s: claim_steps.send_claim(claim=claim, how="email", step=s),
        "receive": lambda s: claim_steps.record_receipt(claim=claim, step=s),
        "acknowledge": lambda s: claim_steps.record_acknowledgement(
            claim=claim, carrier_number="PW-1", step=s
        ),
        "offer": lambda s: answers.record_offer(claim=claim, cents=100, step=s),
        "disallow": lambda s: answers.record_disallowance(
            claim=claim, denial=answers.Denial(), step=s
        ),
        "settle": lambda s: endings.settle_claim(claim=claim, step=s),
        "give-up": lambda s: endings.give_up(claim=claim, step=s),
        "hand-over": lambda s: endings.hand_over(claim=claim, how="email", step=s),
        "tell-withdrawal": lambda s: endings.tell_withdrawal(
            claim=claim, how="email", step=s
        ),
        "reopen": lambda s: endings.reopen_claim(claim=claim, step=s),
        "counter": lambda s: answers.record_counter(claim=claim, cents=100, step=s),
        "accept": lambda s: accept(claim, s),
        "refuse": lambda s: answers.record_refusal(claim=claim, step=s),
        "ask-inspection": lambda s: answers.ask_inspection(
            claim=claim, how="email", step=s
        ),
        "inspection": lambda s: answers.record_inspection(
            claim=claim, outcome="waived", step=s
        ),
        "permission": lambda s: answers.record_permission(
            claim=claim, about="repair", allowed=True, step=s
        ),
        "ask-papers": lambda s: answers.ask_papers(claim=claim, by_day=None, step=s),
        "supply-papers": lambda s: answers.supply_papers(
            claim=claim, how="email", step=s
        ),
        "salvage-sold": lambda s: answers.record_salvage(
            claim=claim, cents=100, step=s
        ),
        "pay": lambda s: payments.record_payment(
            claim=claim, received=payments.Received(100, "check"), step=s
        ),
        "reverse-payment": lambda s: payments.reverse_payment(
            payment=last_payment(claim), step=s
        ),
        "decide-payment": lambda s: payments.decide_payment(
            payment=last_payment(claim), choice="full", step=s
        ),
        "withdraw": lambda s: endings.withdraw_claim(claim=claim, step=s),
        "decide-paper": lambda s: decide_paper(
            claim=claim, paper="packing-list", step=s
        ),
    }
