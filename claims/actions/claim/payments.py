"""Recording the carrier's payments, reversing a mistake, deciding what one settles."""

from dataclasses import dataclass

from claims.actions.claim.steps import Step, Write, take
from claims.models import Claim, ClaimPayment
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


def record_payment(*, claim: Claim, received: Received, step: Step) -> ClaimPayment:
    """Record a payment; one marked as full waits for the manager and counts for nothing.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    made: list[ClaimPayment] = []

    def write_row(row: Claim) -> None:
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
            )
        )

    kind = "claim.payment-held" if received.in_full else "claim.paid"
    data: dict[str, object] = {
        "amount": format_cents(received.cents, claim.currency),
        "method": PAYMENT_METHODS[received.method].lower(),
        "reference": received.reference or "not given",
    }
    write = Write(kind, data=data, cents=received.cents, choice=received.method)
    take(claim, "pay", step, write, also=write_row)
    return made[0]


def reverse_payment(*, payment: ClaimPayment, step: Step) -> ClaimPayment:
    """Take a payment back that was recorded by mistake, or that bounced."""
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
        "amount": format_cents(payment.cents, claim.currency),
    }
    write = Write("claim.payment-reversed", data=data, payment=payment)
    take(claim, "reverse-payment", step, write, also=write_row)
    return made[0]


def decide_payment(*, payment: ClaimPayment, choice: str, step: Step) -> Claim:
    """Decide what a payment settles. As full payment it closes the claim.

    Raise RefusedError for a choice that this payment does not leave.
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


def _next_row(claim: Claim, step: Step, **values: object) -> ClaimPayment:
    return ClaimPayment.objects.create(
        claim=claim,
        number=claim.payments.count() + 1,
        reason=step.reason,
        recorded_at=step.at,
        recorded_by=step.person,
        **values,
    )
