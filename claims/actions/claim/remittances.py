"""One remittance put against several claims: recorded, matched, decided, reversed.

Each part is the payment that it would be alone, with its own step, deadlines, entries
and event; what no part takes is owed to the payer. All of it is one transaction, under
the payer's book.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace

from django.db import transaction

from claims.actions.books.remittances import lock_remittance, post_rest
from claims.actions.claim import payments
from claims.actions.claim.payments import Received, record_payment
from claims.actions.claim.steps import Step
from claims.models import Claim, ClaimPayment, Remittance
from claims.queries.books.open_to_pay import Payer, payer_in, payers_at
from claims.queries.core.remittances import (
    open_choices,
    rest_of,
    standing_parts,
)
from claims.rules.claim import remittances as rules
from claims.rules.core.vocabulary import PAYMENT_DECISIONS, PAYMENT_METHODS
from inventory.actions.core.events import record_event
from inventory.actions.core.numbers import lock_numbers, next_number_of
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.ledger.locks import lock_books
from inventory.models import Carrier, Location, Supplier
from inventory.rules.core import numbering
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.money import format_cents


@dataclass(frozen=True)
class Against:
    """What is put against one claim, and the version of it that the person saw."""

    claim: Claim
    cents: int
    version: int


def record_remittance(
    *, payer: Payer, received: Received, parts: Sequence[Against], step: Step
) -> Remittance:
    """Record one check or transfer, and put its parts against the payer's claims.

    Raise RefusedError with every reason against it, and StaleRowError where one of
    the claims has changed.
    """
    with transaction.atomic():
        location = lock_numbers(payer.location)
        lock_books([(location, payer.partner, payer.currency)])
        said = rules.Said(
            payer=str(payer.partner),
            currency=payer.currency,
            cents=received.cents,
            method=received.method,
            bills=received.bills,
            in_full=received.in_full,
            reason=step.reason,
        )
        _refuse(rules.against_remittance(said, _open_parts(payer, parts)))
        row = _new_row(location, payer, received, step)
        _put(row, parts, replace(step, reason=""))  # it explains the rest, no part
        post_rest(row, on=row.received_on, person=step.person, at=step.at)
        rest = rules.rest_cents(received.cents, [one.cents for one in parts])
        _tell(
            row,
            "remittance.recorded",
            step,
            on=row.received_on.isoformat(),
            payer=str(payer.partner),
            method=mid_sentence(PAYMENT_METHODS[row.method]),
            reference=row.reference or "not given",
            count=len(parts),
            rest=_rest_words(row, rest),
        )
    return row


def match_rest(
    *, remittance: Remittance, parts: Sequence[Against], step: Step
) -> Remittance:
    """Put what is left of a remittance, or some of it, against claims of its payer."""
    with transaction.atomic():
        row = _locked(remittance, step)
        payer = Payer(row.location, row.payer, row.currency, [])
        reasons = rules.against_match(
            rest_of(row), row.currency, _open_parts(payer, parts)
        )
        _refuse(reasons)
        change_row(row, version=step.version)
        _put(row, parts, step)
        post_rest(row, on=row.received_on, person=step.person, at=step.at)
        _tell(
            row,
            "remittance.matched",
            step,
            amount=_amount(row, sum(one.cents for one in parts)),
            count=len(parts),
        )
    return row


def reverse_part(*, payment: ClaimPayment, step: Step) -> ClaimPayment:
    """Take one part back from its claim: the money is then owed to the payer.

    ``step`` carries the version of the claim. Raise RefusedError where the remittance
    is marked as full payment: it stands or falls as a whole.
    """
    remittance = payment.remittance
    if remittance is None:
        raise LookupError("This payment is no part of a remittance.")
    with transaction.atomic():
        row = lock_remittance(remittance)
        if row.in_full:
            raise RefusedError(
                f"{row} is marked as full payment, so its parts are one. Nothing was "
                "saved. Reverse the whole remittance."
            )
        change_row(row, version=row.version)
        made = payments.reverse_one(payment=payment, step=step)
        post_rest(row, on=step.today, person=step.person, at=step.at)
        _tell(
            row,
            "remittance.part-reversed",
            step,
            claim=payment.claim.number,
            amount=_amount(row, payment.cents),
            payer=str(row.payer),
        )
    return made


def reverse_remittance(*, remittance: Remittance, step: Step) -> Remittance:
    """Take the whole remittance back: it bounced, or was recorded by mistake.

    Raise RefusedError naming each claim on which that is not possible now.
    """
    with transaction.atomic():
        row = _locked(remittance, step)
        change_row(
            row,
            version=step.version,
            reversed_on=step.today,
            reversal_reason=step.reason,
        )
        _each_part(row, step, payments.reverse_one)
        post_rest(row, on=step.today, person=step.person, at=step.at)
        _tell(row, "remittance.reversed", step)
    return row


def decide_remittance(*, remittance: Remittance, choice: str, step: Step) -> Remittance:
    """Decide what a remittance marked as full payment settles: all of it alike.

    As full payment it closes every claim that it names.
    """

    def decide(*, payment: ClaimPayment, step: Step) -> object:
        return payments.decide_one(payment=payment, choice=choice, step=step)

    with transaction.atomic():
        row = _locked(remittance, step)
        if choice not in open_choices(row):
            raise RefusedError(
                "Nothing like that is left to decide on this remittance. Nothing was "
                "saved. Open it again."
            )
        change_row(row, version=step.version)
        _each_part(row, step, decide)
        _tell(row, "remittance.decided", step, choice=PAYMENT_DECISIONS[choice])
    return row


def _new_row(
    location: Location, payer: Payer, received: Received, step: Step
) -> Remittance:
    partner = payer.partner
    return Remittance.objects.create(
        location=location,
        number=next_number_of(
            Remittance, numbering.REMITTANCE, location, step.today.year
        ),
        carrier=partner if isinstance(partner, Carrier) else None,
        supplier=partner if isinstance(partner, Supplier) else None,
        currency=payer.currency,
        received_on=step.on or step.today,
        cents=received.cents,
        method=received.method,
        reference=received.reference,
        bills=received.bills,
        in_full=received.in_full,
        reason=step.reason,
        recorded_at=step.at,
        recorded_by=step.person,
    )


def _put(row: Remittance, parts: Iterable[Against], step: Step) -> None:
    """Make each part a payment of its claim, in the order in which claims are locked."""
    for one in sorted(parts, key=lambda one: one.claim.pk):
        received = Received(
            one.cents, row.method, row.reference, row.bills, in_full=row.in_full
        )
        with _naming(one.claim):
            record_payment(
                claim=one.claim,
                received=received,
                step=replace(step, version=one.version, on=row.received_on),
                remittance=row,
            )


def _each_part(row: Remittance, step: Step, act: Callable[..., object]) -> None:
    """Do an act on every part that stands, or refuse it for all of them."""
    for payment in standing_parts(row):
        now = Claim.objects.get(pk=payment.claim_id)
        with _naming(now):
            act(payment=payment, step=replace(step, version=now.version))


@contextmanager
def _naming(claim: Claim) -> Iterator[None]:
    """Let a refusal name the claim that it is about."""
    try:
        yield
    except RefusedError as error:
        raise RefusedError(f"{claim}: {error}") from error


def _open_parts(payer: Payer, parts: Iterable[Against]) -> list[rules.Part]:
    """Return the parts with what is open on their claims now.

    Raise RefusedError for a claim of another payer, and StaleRowError.
    """
    here = payer_in(payers_at([payer.location]), payer.key)
    known = {one.claim.pk: one for one in here.claims} if here else {}
    found = []
    for one in parts:
        now = known.get(one.claim.pk)
        if now is None:
            raise RefusedError(
                f"{one.claim} is not open to {payer.partner} in {payer.currency} here. "
                "Nothing was saved. Open the page again."
            )
        if now.claim.version != one.version:
            raise StaleRowError
        found.append(rules.Part(now.claim.number, one.cents, now.open_cents))
    return found


def _locked(remittance: Remittance, step: Step) -> Remittance:
    """Return the current remittance under its book. Raise StaleRowError, RefusedError."""
    row = lock_remittance(remittance)
    if row.reversed_on is not None:
        raise RefusedError(f"{row} is already reversed. Nothing was saved.")
    if row.version != step.version:
        raise StaleRowError
    return row


def _refuse(reasons: Sequence[str]) -> None:
    if reasons:
        raise RefusedError(" ".join((*reasons, "Nothing was saved.")))


def _amount(row: Remittance, cents: int) -> str:
    return format_cents(cents, row.currency, code=True)


def _rest_words(row: Remittance, rest: int) -> str:
    words = f"{_amount(row, rest)} is owed to {row.payer}. {row.reason}"
    return words if rest else ""


def _tell(row: Remittance, kind: str, step: Step, **data: object) -> None:
    record_event(
        kind=kind,
        at=step.at,
        actor=step.person,
        location=row.location,
        subjects=[row],
        data={
            "number": row.number,
            "amount": _amount(row, row.cents),
            "reason": step.reason,
            **data,
        },
    )
