"""Bringing in a claim that was opened elsewhere, and retiring it by an import's undo."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Model

from claims.actions.claim.steps import Step, locked
from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim, ClaimLine, ClaimPayment, ToldClaim
from claims.rules.claim.told import receipt_of, state_of
from claims.rules.deadlines.told import ToldDays
from inventory.actions.core.events import record_event
from inventory.actions.core.numbers import lock_numbers, next_number_of
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Carrier, Location, Shipment, User
from inventory.rules.core import numbering
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.money import format_cents

AS_TOLD = "As told in the list of open claims."
"""What a payment says whose way nobody told."""


@dataclass(frozen=True)
class Told:
    """The days of a claim as told, each with its proof or without, and the offer."""

    billed_on: dt.date
    filed_on: dt.date
    filed_proof: str = ""
    delivered_on: dt.date | None = None
    delivered_proof: str = ""
    declined_on: dt.date | None = None
    declined_proof: str = ""
    offered_on: dt.date | None = None
    offered_cents: int | None = None
    note: str = ""

    @property
    def days(self) -> ToldDays:
        """Return the days, each proven or not."""
        return ToldDays(
            billed_on=self.billed_on,
            filed_on=self.filed_on,
            is_filing_proven=bool(self.filed_proof),
            delivered_on=self.delivered_on,
            is_delivery_proven=bool(self.delivered_on and self.delivered_proof),
            declined_on=self.declined_on,
            is_denial_proven=bool(self.declined_on and self.declined_proof),
        )


def bring_in_claim(
    *,
    location: Location,
    carrier: Carrier,
    pro_number: str,
    told: Told,
    carrier_claim_number: str,
    claimed_cents: int,
    currency: str,
    received: Sequence[tuple[dt.date, int]],
    person: User,
    at: dt.datetime,
) -> list[Model]:
    """Make the claim with its one line, its payments and a bill known by its number.

    The state follows the proven days alone. Raise RefusedError for a bill that is
    recorded already.
    """
    with transaction.atomic():
        held = lock_numbers(location)
        bill = _bill(held, carrier, pro_number, (told.billed_on, currency))
        claim = _claim(held, bill, told, carrier_claim_number, person=person, at=at)
        _tell(claim, told, person=person, at=at)
        _add_line(claim, claimed_cents)
        ClaimPayment.objects.bulk_create(
            ClaimPayment(
                claim=claim,
                number=number,
                on=on,
                cents=cents,
                method="other",
                reason=AS_TOLD,
                recorded_at=at,
                recorded_by=person,
            )
            for number, (on, cents) in enumerate(received, start=1)
        )
        count_deadlines(shipment=bill, at=at, person=person)
        record_event(
            kind="claim.opened-elsewhere",
            at=at,
            actor=person,
            location=held,
            subjects=[bill, claim],
            data={
                "number": claim.number,
                "amount": format_cents(claimed_cents, currency, code=True),
            },
        )
    return [claim, bill]


def _bill(
    location: Location, carrier: Carrier, number: str, said: tuple[dt.date, str]
) -> Shipment:
    """Make the bill, known by its number, its date and its currency alone."""
    if Shipment.objects.filter(carrier=carrier, pro_number=number).exists():
        raise RefusedError(
            f"PRO {number} of {carrier} is recorded already. Make its claim on the page "
            "of the freight bill."
        )
    return Shipment.objects.create(
        location=location,
        carrier=carrier,
        pro_number=number,
        bol_on=said[0],
        currency=said[1],
        is_earlier=True,
    )


def _claim(
    location: Location,
    bill: Shipment,
    told: Told,
    their_number: str,
    *,
    person: User,
    at: dt.datetime,
) -> Claim:
    year = dock_day(at, location.zone).year
    days = told.days
    received_on, words = receipt_of(
        days, filed=told.filed_proof, declined=told.declined_proof
    )
    declined = days.is_denial_proven
    offered = told.offered_on if received_on else None
    return Claim.objects.create(
        location=location,
        shipment=bill,
        number=next_number_of(Claim, numbering.CLAIM, location, year),
        state=state_of(days, offered_on=told.offered_on),
        currency=bill.currency,
        made_at=at,
        made_by=person,
        sent_on=told.filed_on,
        addressed_to=bill.carrier,
        received_on=received_on,
        receipt_words=words,
        carrier_claim_number=their_number,
        offered_on=offered,
        offered_cents=told.offered_cents if offered else None,
        disallowed_on=told.declined_on if declined else None,
        disallowed_reason=f"As told: {told.declined_proof}" if declined else "",
        opened_elsewhere=True,
    )


def _tell(claim: Claim, told: Told, *, person: User, at: dt.datetime) -> None:
    ToldClaim.objects.create(
        claim=claim,
        delivered_on=told.delivered_on,
        delivered_proof=told.delivered_proof,
        filed_on=told.filed_on,
        filed_proof=told.filed_proof,
        declined_on=told.declined_on,
        declined_proof=told.declined_proof,
        offered_on=told.offered_on,
        offered_cents=told.offered_cents,
        note=told.note,
        told_at=at,
        told_by=person,
    )


def _add_line(claim: Claim, cents: int) -> None:
    """Add the one line that stands for the claim as it was filed."""
    day = in_words(claim.sent_on) if claim.sent_on else ""
    ClaimLine.objects.create(
        claim=claim,
        number=1,
        label=f"Claim opened elsewhere, as filed {day}",
        outcome="total",
        value_cents=cents,
        worked_cents=cents,
    )


def why_not_prove(claim: Claim) -> str:
    """Return why the delivery day of this claim cannot be proven here, or ""."""
    if not claim.opened_elsewhere:
        return "The truck's own receipt shows the delivery day of this claim."
    told = claim.told_rows.order_by("pk").last()
    if told and told.delivered_on and told.delivered_proof:
        return f"The delivery day is proven already: {told.delivered_proof}."
    return ""


def prove_delivery(*, claim: Claim, on: dt.date, proof: str, step: Step) -> ToldClaim:
    """Record the proof of the delivery day: the deadlines count from that day now.

    Raise RefusedError for a day before the bill's date or after the claim was filed,
    and where the day is proven already; StaleRowError.
    """
    with transaction.atomic():
        row = locked(claim)
        billed_on, told = row.shipment.bol_on, row.told_rows.order_by("pk").last()
        if (against := why_not_prove(row)) or told is None:
            raise RefusedError(f"{against} Nothing was saved.")
        if (billed_on and on < billed_on) or on > told.filed_on:
            raise RefusedError(
                "The delivery lies between the bill's date and the day the claim was "
                "filed. Nothing was saved. Check the day."
            )
        change_row(row, version=step.version)
        told.pk, told.delivered_on, told.delivered_proof = None, on, proof
        told.told_at, told.told_by = step.at, step.person
        told.save(force_insert=True)
        count_deadlines(shipment=row.shipment, at=step.at, person=step.person)
        record_event(
            kind="claim.delivery-proven",
            at=step.at,
            actor=step.person,
            location=row.location,
            subjects=[row.shipment, row],
            data={"number": row.number, "day": in_words(on), "proof": proof},
        )
    return told


def retire_claim(claim: Claim, reason: str, *, person: User, at: dt.datetime) -> None:
    """Retire a claim whose import is undone; its deadlines end with it."""
    change_row(claim, version=claim.version, retired_at=at, retired_reason=reason)
    count_deadlines(shipment=claim.shipment, at=at, person=person)
