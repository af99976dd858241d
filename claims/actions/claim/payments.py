"""Recording the carrier's payments, reversing a mistake, deciding what one settles."""

from dataclasses import dataclass

from claims.actions.claim.overlap import require_free_right
from claims.actions.claim.steps import Step, Write, take
from claims.models import Claim, ClaimPayment, Remittance
from claims.queries.core.payments import claim_money, payments_of
from claims.rules.claim import life as lifecycle
from claims.rules.claim.payments import HELD, against_payment
from claims.rules.core.vocabulary import PAYMENT_DECISIONS, PAYMENT_METHODS
from inventory.actions.core.versions import RefusedError
from inventory.rules.reckoning.money import format_cents


@dataclass(frozen=True)
class Received:
    """One payment as it came in. ``in_full`` marks one that says it is full payment."""

    cents: int
    method: str
    reference: str = ""
    bills: str = ""
    in_full: bool = False


def record_payment(
    *,
    claim: Claim,
    received: Received,
    step: Step,
    remittance: Remittance | None = None,
) -> ClaimPayment:
    """Record a payment; one marked as full waits for the manager and counts for nothing.

    ``remittance`` is what it is a part of: use ``record_remittance`` for one. Raise RefusedError with every reason against it, and StaleRowError.
    """
    made: list[ClaimPayment] = []

    def write_row(row: Claim) -> ClaimPayment:
        reasons = against_payment(
            claim_money(row),
            cents=received.cents,
            method=received.method,
            bills=received.bills,
            reason=step.reason,
        )
        if reasons:
            raise RefusedError(" ".join((*reasons, "Nothing was saved.")))
        made.append(
            _next_row(
                row,
                step,
                on=step.on,
                cents=received.cents,
                method=received.method,
                reference=received.reference,
                bills=received.bills,
                in_full=received.in_full,
                remittance=remittance,
            )
        )
        return made[0]

    kind = "claim.payment-held" if received.in_full else "claim.paid"
    reference = received.reference or "not given"
    data: dict[str, object] = {
        "amount": format_cents(received.cents, claim.currency, code=True),
        "method": PAYMENT_METHODS[received.method].lower(),
        "reference": f"{reference}, part of {remittance}" if remittance else reference,
    }
    write = Write(kind, data=data, cents=received.cents, choice=received.method)
    take(claim, "pay", step, write, also=write_row)
    return made[0]


def reverse_payment(*, payment: ClaimPayment, step: Step) -> ClaimPayment:
    """Take a payment back that was recorded by mistake, or that bounced.

    Raise RefusedError for a part of a remittance: ``reverse_part`` takes it back.
    """
    _refuse_part(payment)
    return reverse_one(payment=payment, step=step)


def reverse_one(*, payment: ClaimPayment, step: Step) -> ClaimPayment:
    """Take one payment back, be it alone or a part of a remittance."""
    made: list[ClaimPayment] = []

    def write_row(row: Claim) -> None:
        if payment.reverses_id or row.payments.filter(reverses=payment).exists():
            raise RefusedError("This payment is already reversed. Nothing was saved.")
        made.append(
            _next_row(
                row,
                step,
                on=step.today,
                cents=payment.cents,
                method=payment.method,
                reference=payment.reference,
                bills=payment.bills,
                reverses=payment,
            )
        )

    claim = payment.claim
    data: dict[str, object] = {
        "payment": payment.number,
        "amount": format_cents(payment.cents, claim.currency, code=True),
    }
    write = Write("claim.payment-reversed", data=data, payment=payment)
    take(claim, "reverse-payment", step, write, also=write_row)
    return made[0]


def decide_payment(*, payment: ClaimPayment, choice: str, step: Step) -> Claim:
    """Decide what a payment settles. As full payment it closes the claim.

    Raise RefusedError for a part of a remittance that is marked as full payment.
    """
    if payment.in_full:
        _refuse_part(payment)
    return decide_one(payment=payment, choice=choice, step=step)


def decide_one(*, payment: ClaimPayment, choice: str, step: Step) -> Claim:
    """Decide what one payment settles, be it alone or a part of a remittance.

    Taken as full it releases the whole claim, as a letter would. Raise RefusedError for
    a choice that this payment does not leave.
    """
    claim = payment.claim

    is_end = choice == "full"

    def check(row: Claim) -> None:
        rows = {one.number: one for one in payments_of(row)}
        fresh = rows.pop(payment.number, None)
        if fresh is None or choice not in fresh.open_choices():
            raise RefusedError(
                "This payment was decided or reversed after you opened the page. "
                "Nothing was saved. Open the claim again."
            )
        if is_end and any(one.state == HELD for one in rows.values()):
            raise RefusedError(
                "Another payment marked as full must be decided first. Nothing was "
                "saved."
            )
        if is_end:
            require_free_right(row)

    data: dict[str, object] = {
        "payment": payment.number,
        "choice": PAYMENT_DECISIONS[choice],
    }
    write = Write(
        "claim.payment-decided",
        {"closed_on": step.on} if is_end else {},
        data,
        to=lifecycle.SETTLED if is_end else claim.state,
        choice=choice,
        payment=payment,
    )
    return take(claim, "decide-payment", step, write, also=check)


def _refuse_part(payment: ClaimPayment) -> None:
    if payment.remittance_id:
        raise RefusedError(
            f"This payment is a part of {payment.remittance}. Nothing was saved. Open "
            "the remittance."
        )


def _next_row(claim: Claim, step: Step, **values: object) -> ClaimPayment:
    return ClaimPayment.objects.create(
        claim=claim,
        number=claim.payments.count() + 1,
        reason=step.reason,
        recorded_at=step.at,
        recorded_by=step.person,
        **values,
    )
