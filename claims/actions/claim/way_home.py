"""Claiming crates lost or damaged on the way home, under the return's own bill."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from claims.actions.claim.lines import work_lines
from claims.actions.claim.steps import Step, Write, take
from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim, ClaimLine
from claims.queries.core.facts import claim_cents
from claims.queries.core.way_home import LineHome, credited_since, ways_home
from claims.rules.claim.way_home import DAMAGED, LOST, OUTCOMES, RISKS
from inventory.actions.core.events import record_event
from inventory.actions.core.numbers import lock_numbers, next_number_of
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.ledger.locks import lock_book
from inventory.actions.returns.staging import lock_return
from inventory.models import Carrier, CrateReturn, Shipment, User
from inventory.queries.returns.listing import lines_of, mass_of
from inventory.rules.core import numbering
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.money import format_cents
from inventory.rules.returns.life import total_weight

NOTHING_CREDITED = "The supplier has credited nothing that the claim still asks for. Nothing was changed."


@dataclass(frozen=True)
class HomeBill:
    """What the papers of the return say beside what its record knows.

    ``risk`` is a key of RISKS: who bears the loss by the supplier's terms.
    """

    pro_number: str = ""
    regime: str = "us-motor"
    risk: str = "unknown"
    released_cents_per_lb: int | None = None
    record_carrier: Carrier | None = None


def claim_return(
    *,
    crate_return: CrateReturn,
    lines: Sequence[int],
    bill: HomeBill,
    person: User,
    at: datetime,
) -> Claim:
    """Make a claim for these lines of a return, with its bill where there is none yet.

    Each line claims the loss that is in the books, less what the supplier credited
    since. Raise RefusedError with every reason against it.
    """
    with transaction.atomic():
        location = lock_numbers(crate_return.location)
        lock_book(location, crate_return.supplier, crate_return.currency)
        row = lock_return(crate_return)
        homes = {one.line.pk: one for one in ways_home(row)}
        picked = [homes[key] for key in lines if key in homes]
        carrier = _carrier_of(row)
        _refuse(picked, len(lines), bill)
        shipment = _bill_of(row, carrier, bill)
        today = dock_day(at, location.zone)
        claim = Claim.objects.create(
            location=location,
            shipment=shipment,
            number=next_number_of(Claim, numbering.CLAIM, location, today.year),
            claimant="us",
            basis="invoice",
            currency=row.currency,
            made_at=at,
            made_by=person,
        )
        ClaimLine.objects.bulk_create(
            _line(claim, number, one) for number, one in enumerate(picked, start=1)
        )
        work_lines(claim)
        count_deadlines(shipment=shipment, at=at, person=person)
        fresh = Claim.objects.prefetch_related("lines").get(pk=claim.pk)
        record_event(
            kind="claim.made-way-home",
            at=at,
            actor=person,
            location=location,
            subjects=[shipment, claim],
            data={
                "number": claim.number,
                "count": len(picked),
                "return": row.number,
                "carrier": str(carrier),
                "amount": format_cents(claim_cents(fresh), claim.currency, code=True),
            },
        )
    return claim


def take_off_credits(*, claim: Claim, step: Step) -> Claim:
    """Take what the supplier credited after all off the claim, sent or not.

    Raise RefusedError where nothing was credited, and StaleRowError.
    """
    with transaction.atomic():
        due = credited_since(claim)
        if not due:
            raise RefusedError(NOTHING_CREDITED)
        cents = sum(home.credited_of(line) - line.recovered_cents for line, home in due)
        memos = "; ".join(dict.fromkeys(note for _, home in due for note in home.memos))
        amount = format_cents(cents, claim.currency, code=True)
        write = Write(
            "claim.credited-after-all",
            data={"supplier": str(claim.shipment.supplier), "amount": amount},
            cents=cents,
        )

        def lower(_: Claim) -> None:
            for line, home in due:
                change_row(
                    line,
                    version=line.version,
                    recovered_cents=home.credited_of(line),
                )

        own = replace(step, reason=memos)
        return take(claim, "take-off-credit", own, write, also=lower)


def _carrier_of(row: CrateReturn) -> Carrier:
    """Return the carrier that had the return. Raise RefusedError where none had it."""
    if row.carrier is None or row.billed_on is None:
        raise RefusedError(
            f"{row} names no carrier or has no bill of lading date. Nothing was saved."
        )
    if row.carrier.mode == "supplier-truck":
        raise RefusedError(
            "The supplier's own truck took it, so there is no carrier to claim from. "
            "Nothing was saved."
        )
    return row.carrier


def _refuse(picked: Sequence[LineHome], wanted: int, bill: HomeBill) -> None:
    """Raise RefusedError with every reason against claiming these crates."""
    reasons = []
    if bill.risk not in RISKS or bill.risk == "origin":
        reasons.append(
            "By these terms the supplier bears the loss, so its credit is due all the "
            "same: reverse the loss and dispute the credit."
        )
    if not picked or len(picked) != wanted:
        reasons.append("Choose at least one crate of this return.")
    reasons += [f"{one.line.crate}: {one.against}" for one in picked if one.against]
    if reasons:
        raise RefusedError(" ".join([*reasons, "Nothing was saved."]))


def _bill_of(row: CrateReturn, carrier: Carrier, said: HomeBill) -> Shipment:
    """Return the outbound bill of a return; the first claim about it makes it."""
    found = Shipment.everything.filter(crate_return=row).first()
    if found is not None:
        return found
    lines = lines_of(row)
    classes = {
        line.crate.crate_type.freight_class for line in lines if line.crate.crate_type
    }
    weight, _, unit = total_weight(
        mass_of(line.crate.crate_type) for line in lines
    ).total.partition(" ")
    return Shipment.objects.create(
        location=row.location,
        carrier=carrier,
        supplier=row.supplier,
        crate_return=row,
        regime=said.regime,
        pro_number=said.pro_number,
        bol_number=row.number,
        bol_on=row.billed_on,
        origin=row.location.name,
        delivery_terms=said.risk,
        pieces_billed=len(lines),
        billed_weight=weight,
        weight_unit=unit or "lb",
        currency=row.currency,
        freight_charge_cents=row.freight_cents,
        released_value_cents_per_lb=said.released_cents_per_lb,
        freight_class=classes.pop() if len(classes) == 1 else "",
        record_carrier=said.record_carrier,
    )


def _line(claim: Claim, number: int, home: LineHome) -> ClaimLine:
    crate = home.crate
    deposit = home.line.deposit
    worth = deposit.amount_cents if deposit else crate.loss_cents
    is_lost = crate.kind == LOST
    return ClaimLine(
        claim=claim,
        return_line=home.line,
        number=number,
        label=home.label,
        outcome=OUTCOMES[LOST if is_lost else DAMAGED],
        value_cents=crate.loss_cents if is_lost else worth,
        repair_cents=0 if is_lost else crate.loss_cents,
        recovered_cents=crate.credited_cents,
        holds=True,
    )
