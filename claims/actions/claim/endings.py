"""How a claim ends here: settled, not pursued, handed over, withdrawn; and reopened."""

from claims.actions.claim.steps import Step, Write, take
from claims.models import Claim, ClaimStep
from claims.queries.core.payments import claim_money
from claims.rules.claim import life as lifecycle
from claims.rules.core.vocabulary import SENT_HOW
from inventory.rules.reckoning.money import format_cents


def settle_claim(*, claim: Claim, step: Step) -> Claim:
    """Close the claim as settled with what was paid; less than claimed needs a reason."""
    paid = claim_money(claim).paid_cents
    write = Write(
        "claim.settled",
        {"closed_on": step.on},
        {"amount": format_cents(paid, claim.currency, code=True)},
        cents=paid,
    )
    return take(claim, "settle", step, write)


def give_up(*, claim: Claim, step: Step) -> Claim:
    """Close the claim as not pursued, with its reason; what is not paid is our loss."""
    lost = claim_money(claim).balance_cents
    write = Write(
        "claim.not-pursued",
        {"closed_on": step.today},
        {"amount": format_cents(lost, claim.currency, code=True)},
        cents=lost,
    )
    return take(claim, "give-up", step, write)


def hand_over(*, claim: Claim, how: str, step: Step) -> Claim:
    """Close a claim that the supplier files, with who there took it.

    Its findings stay taken: the loss is claimed, only not by us.
    """
    write = Write(
        "claim.handed-over",
        {"closed_on": step.on},
        {"how": SENT_HOW[how].lower(), "whom": step.proof},
        choice=how,
    )
    return take(claim, "hand-over", step, write)


def withdraw_claim(*, claim: Claim, step: Step) -> Claim:
    """Withdraw the claim, with a reason.

    One that was never sent frees its findings at once. A carrier that holds the claim
    must be told first: see ``tell_withdrawal``.
    """
    write = Write(
        "claim.withdrawn",
        {"withdrawn_on": step.today, "withdrawn_reason": step.reason},
    )
    was_sent = claim.state != lifecycle.DRAFTED
    return take(claim, "withdraw", step, write, also=None if was_sent else free)


def tell_withdrawal(*, claim: Claim, how: str, step: Step) -> Claim:
    """Record that the withdrawal letter went to the carrier, which frees the findings."""
    write = Write(
        "claim.withdrawal-told",
        {"closed_on": step.on},
        {"how": SENT_HOW[how].lower()},
        choice=how,
    )
    return take(claim, "tell-withdrawal", step, write, also=free)


def reopen_claim(*, claim: Claim, step: Step) -> Claim:
    """Open a closed claim again, in the state that it was closed in."""
    write = Write(
        "claim.reopened",
        {"closed_on": None, "withdrawn_on": None, "withdrawn_reason": ""},
        to=_state_before(claim),
    )
    return take(claim, "reopen", step, write)


def free(claim: Claim) -> None:
    """Let other claims take the findings of this one."""
    claim.lines.filter(holds=True).update(holds=False)


def _state_before(claim: Claim) -> str:
    """Return the state in which the claim was closed; by its days where no step says."""
    closing = (
        ClaimStep.objects.filter(claim=claim, after=claim.state)
        .exclude(before=claim.state)
        .order_by("-pk")
        .first()
    )
    if closing:
        return closing.before
    if claim.disallowed_on:
        return lifecycle.DISALLOWED
    if claim.offered_on:
        return lifecycle.OFFERED
    if claim.acknowledged_on:
        return lifecycle.ACKNOWLEDGED
    return lifecycle.RECEIVED if claim.received_on else lifecycle.SENT
