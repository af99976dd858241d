"""Shipping a return: the driver signs, and each crate's credit is expected from then on."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction

from inventory.actions.core.events import lock_chain, record_event
from inventory.actions.core.sent_documents import begin_sending
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.crates.life import move_crate
from inventory.actions.deposits.crates import lock_crates
from inventory.actions.deposits.short_rows import open_short
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import post_entry
from inventory.actions.returns.credits import post_expected, reckoned_credit
from inventory.actions.returns.deposits import deposit_of, left_on
from inventory.actions.returns.papers import (
    Papers,
    keep_papers,
    list_same,
    say_same,
    store_papers,
)
from inventory.actions.returns.staging import (
    about,
    live_lines,
    lock_return,
    require_act,
)
from inventory.models import (
    Carrier,
    CrateReturn,
    Delivery,
    ReturnLine,
    User,
)
from inventory.queries.deposits.facts import terms_for
from inventory.rules.deposits import postings
from inventory.rules.memos import short_credits as shorts
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.money import format_cents
from inventory.rules.returns import life as rules
from inventory.rules.returns.stacks import LONG_VAN, Trailer


@dataclass(frozen=True)
class Departure:
    """How a return was shipped: its days, who took it, and what the driver signed for.

    ``trailer`` is the one that the stack plan with the packing list is made for.
    """

    left_on: date
    billed_on: date
    carrier: Carrier | None = None
    delivery: Delivery | None = None
    driver_name: str = ""
    driver_count: int | None = None
    how_signed: str = ""
    freight_cents: int | None = None
    supplier_bills_freight: bool = False
    trailer: Trailer = LONG_VAN


def ship_return(
    *,
    crate_return: CrateReturn,
    version: int,
    departure: Departure,
    person: User,
    at: datetime,
    papers: Papers | None = None,
) -> CrateReturn:
    """Ship a return; each crate's credit is calculated, frozen and posted.

    The driver's count is stored as signed; a difference stops nothing. The bill of
    lading and the packing list are kept as they go out: ``papers`` are those drawn by
    ``draw_papers``, which must come before any transaction. Raise StaleRowError and
    RefusedError.
    """
    if papers is None:
        papers = draw_papers(crate_return=crate_return, departure=departure, at=at)
    with transaction.atomic():
        begin_sending(*papers.documents.values())
        lock_book(crate_return.location, crate_return.supplier, crate_return.currency)
        row = lock_return(crate_return)
        lines = live_lines(row)
        state = require_act(row, "ship", facts_of_return(row, len(lines)))
        if row.version != version:
            raise StaleRowError
        _refuse_days(departure)
        if not list_same(papers, lines):
            raise StaleRowError
        # Before the first event: whoever holds a crate may be waiting for the chain.
        lock_crates(line.crate_id for line in lines)
        lock_chain()  # from here on nobody changes what the papers say
        change_row(row, version=version, state=state, **_left(departure))
        if not say_same(papers, row):
            raise StaleRowError
        due = [_ship_line(row, line, person=person, at=at) for line in lines]
        dues = [day for day in due if day is not None]
        if dues:
            change_row(row, version=row.version, memo_due_on=max(dues))
        keep_papers(row, papers, person=person, at=at)
        _tell_departure(row, len(lines), person=person, at=at)
        if departure.freight_cents and departure.supplier_bills_freight:
            _post_freight(row, departure.freight_cents, person=person, at=at)
        return row


def facts_of_return(row: CrateReturn, crates: int) -> rules.ReturnFacts:
    """Return the facts of this return for its acts, by its supplier's terms."""
    terms = terms_for(
        row.supplier, row.planned_on or dock_day(row.made_at, row.location.zone)
    )
    wants = row.supplier.needs_return_authorization
    return rules.ReturnFacts(
        crates=crates,
        needs_authorization=wants or bool(terms and terms.needs_authorization),
        authorization=row.authorization,
        needs_appointment=bool(terms and terms.needs_appointment),
        appointment=row.appointment,
    )


def _left(departure: Departure) -> dict[str, Any]:
    """Return the columns of a return that was shipped, besides its state."""
    return {
        "picked_up_on": departure.left_on,
        "billed_on": departure.billed_on,
        "carrier": departure.carrier,
        "delivery": departure.delivery,
        "driver_name": departure.driver_name,
        "driver_count": departure.driver_count,
        "how_signed": departure.how_signed,
        "freight_cents": departure.freight_cents,
    }


def draw_papers(
    *, crate_return: CrateReturn, departure: Departure, at: datetime
) -> Papers:
    """Store the papers of a return as it will have left; none where it cannot leave.

    Raise RefusedError where the disk takes no document.
    """
    rows = CrateReturn.objects.select_related("location", "supplier")
    row = rows.get(pk=crate_return.pk)
    facts = facts_of_return(row, row.lines.filter(is_taken_off=False).count())
    is_dated = departure.billed_on <= departure.left_on
    verdict = rules.LIFE.decide(row.state, "ship", facts)
    if not is_dated or not verdict.is_allowed:
        return Papers((), departure.trailer, departure.left_on)
    row.state = verdict.new_state or row.state
    for name, value in _left(departure).items():
        setattr(row, name, value)
    return store_papers(row, trailer=departure.trailer, at=at)


def _refuse_days(departure: Departure) -> None:
    if departure.billed_on > departure.left_on:
        raise RefusedError(
            "The bill of lading is dated after the truck left. Nothing was saved. "
            "Check both dates."
        )


def _ship_line(
    row: CrateReturn, line: ReturnLine, *, person: User, at: datetime
) -> date | None:
    """Ship one crate; return the day its memo is due."""
    deposit = deposit_of(row, line, person=person, at=at)
    if deposit is None:
        change_row(
            line,
            version=line.version,
            steps=["This crate has no deposit, so no credit is expected."],
        )
        _move(row, line, "ship", {"expected": "nothing"}, person=person, at=at)
        return None
    change_row(line, version=line.version, deposit=deposit)
    credit, due = reckoned_credit(deposit, row)
    post_expected(line, deposit, credit, person=person, at=at)
    words = format_cents(credit.expected, deposit.currency, code=True)
    _move(row, line, "ship", {"expected": words}, person=person, at=at)
    if credit.hold:
        open_short(
            deposit=deposit,
            cause="hold",
            cents=credit.hold,
            opened_on=left_on(row),
            state=shorts.DISPUTED,
            explanation="Lost while the packaging was on hold for the carrier.",
            person=person,
            at=at,
        )
    return due


def _move(
    row: CrateReturn,
    line: ReturnLine,
    act: str,
    data: dict[str, object],
    *,
    person: User,
    at: datetime,
) -> None:
    subjects = [row, *([line.deposit] if line.deposit else [])]
    move_crate(
        crate=line.crate, act=act, person=person, at=at, data=data, subjects=subjects
    )


def _tell_departure(
    row: CrateReturn, count: int, *, person: User, at: datetime
) -> None:
    record_event(
        kind="return.shipped",
        at=at,
        actor=person,
        location=row.location,
        subjects=about(row),
        data={
            "number": row.number,
            "count": count,
            "carrier": str(row.carrier or ""),
            "left_on": left_on(row).isoformat(),
        },
    )
    if row.driver_count is not None:
        record_event(
            kind="return.counted",
            at=at,
            actor=person,
            location=row.location,
            subjects=about(row),
            data={
                "driver": row.driver_name or "The driver",
                "signed": row.driver_count,
                "listed": count,
            },
        )


def _post_freight(row: CrateReturn, cents: int, *, person: User, at: datetime) -> None:
    post_entry(
        kind="return-freight",
        location=row.location,
        supplier=row.supplier,
        currency=row.currency,
        effective_on=open_day(row.location, left_on(row)),
        lines=postings.freight_billed(cents),
        posting_key=f"return-freight:{row.pk}",
        person=person,
        at=at,
        note=f"Freight of {row}, billed by the supplier",
        subjects=[row],
    )
