"""Every dated act on a claim, by its key in the life; each takes its step."""

from claims.actions.claim import answers, endings, payments
from claims.actions.claim import steps as claim_steps
from claims.actions.claim.decisions import decide_paper


def last_payment(claim):
    """Return the payment of a claim that was recorded last."""
    return claim.payments.filter(reverses=None).latest("number")


def calls_of(claim):
    """Return the call of each act on this claim."""
    return {
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
        "tell-withdrawal": lambda s: endings.tell_withdrawal(
            claim=claim, how="email", step=s
        ),
        "reopen": lambda s: endings.reopen_claim(claim=claim, step=s),
        "counter": lambda s: answers.record_counter(claim=claim, cents=100, step=s),
        "accept": lambda s: answers.accept_offer(claim=claim, cents=100, step=s),
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
