"""Deposits, from the invoice line that charged them to their end without a return."""

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import (
    RefusedError,
    StaleRowError,
    change_row,
    granted,
)
from inventory.actions.crates.life import lock_crate, move_crate
from inventory.actions.deposits.charging import InvoiceLine, pieces_of, take_on
from inventory.actions.deposits.crates import lock_crates, refuse_crate
from inventory.actions.ledger.locks import lock_deposit
from inventory.actions.ledger.posting import body_hash_of, find_posted, post_entry
from inventory.actions.ledger.reversals import reverse_entry
from inventory.models import (
    Crate,
    CrateType,
    Deposit,
    Entry,
    Location,
    Supplier,
    User,
)
from inventory.queries.deposits.facts import terms_for
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.crates.life import LIFE, CrateFacts
from inventory.rules.deposits import postings
from inventory.rules.reckoning.money import format_cents


def charge_deposits(  # noqa: PLR0913 - an invoice line has that many columns
    *,
    location: Location,
    supplier: Supplier,
    invoice_number: str,
    line_number: int,
    invoiced_on: dt.date,
    crate_type: CrateType | None,
    count: int,
    amount_cents: int,
    marks: Sequence[str],
    crates: Sequence[Crate | None],
    posting_key: UUID | str,
    person: User,
    at: dt.datetime,
    currency: str = "",
    booked_on: dt.date | None = None,
) -> list[Deposit]:
    """Charge one deposit per crate of an invoice line; return them in their order.

    ``amount_cents`` is for each. ``marks`` and ``crates`` are empty or as long as
    ``count``; a mark that only one crate here has is matched to it. It takes effect
    on the invoice's day, or on ``booked_on`` where that day is locked. The same key
    and line return the same deposits again. Raise RefusedError.
    """
    terms = terms_for(supplier, invoiced_on)
    line = InvoiceLine(
        location=location,
        supplier=supplier,
        crate_type=crate_type,
        invoice_number=invoice_number,
        line_number=line_number,
        invoiced_on=invoiced_on,
        booked_on=booked_on or invoiced_on,
        amount_cents=amount_cents,
        currency=currency or (terms.currency if terms else location.currency),
        terms=terms,
    )
    pieces = pieces_of(line, count, marks, crates, posting_key=str(posting_key))
    return take_on(line, pieces, person=person, at=at)


def bring_in_opening(  # noqa: PLR0913 - an open deposit has that many columns
    *,
    location: Location,
    supplier: Supplier,
    invoice_number: str,
    line_number: int,
    invoiced_on: dt.date,
    crate_type: CrateType | None,
    count: int,
    amount_cents: int,
    marks: Sequence[str],
    opened_on: dt.date,
    posting_key: UUID | str,
    person: User,
    at: dt.datetime,
    currency: str = "",
) -> list[Deposit]:
    """Bring in deposits that are open in earlier books, as of a day.

    Like ``charge_deposits``, but against the opening balances. Raise RefusedError.
    """
    terms = terms_for(supplier, invoiced_on)
    line = InvoiceLine(
        location=location,
        supplier=supplier,
        crate_type=crate_type,
        invoice_number=invoice_number,
        line_number=line_number,
        invoiced_on=invoiced_on,
        booked_on=opened_on,
        amount_cents=amount_cents,
        currency=currency or (terms.currency if terms else location.currency),
        terms=terms,
        is_opening=True,
    )
    pieces = pieces_of(line, count, marks, [], posting_key=str(posting_key))
    return take_on(line, pieces, person=person, at=at)


def why_no_crate(deposit: Deposit) -> str:
    """Return why no crate here can be matched to the deposit, or ""."""
    if deposit.shipped_back_on is None:
        return ""
    return (
        f"The crate of this credit was shipped back on bill {deposit.shipped_back_bill}, "
        "before these books began."
    )


def match_deposit(
    *, deposit: Deposit, crate: Crate, version: int, person: User, at: dt.datetime
) -> None:
    """Match a deposit to its crate. Raise StaleRowError and RefusedError.

    A refused or one-way crate, one of another supplier, and one that already has a
    deposit are refused.
    """
    with transaction.atomic():
        row = lock_deposit(deposit)
        if against := why_no_crate(row):
            raise RefusedError(f"{against} Nothing was saved.")
        if row.is_withdrawn or row.crate_id is not None:
            raise RefusedError(
                "This deposit is already matched or withdrawn. Nothing was saved. "
                "Check its history."
            )
        chosen = lock_crates([crate.pk])[crate.pk]
        refuse_crate(chosen, row.location, row.supplier)
        crate_type = row.crate_type or chosen.crate_type
        change_row(row, version=version, crate=chosen, crate_type=crate_type)
        record_event(
            kind="deposit.matched",
            at=at,
            actor=person,
            location=row.location,
            subjects=[row, chosen, chosen.shipment],
            data={
                "invoice": row.invoice_number,
                "number": chosen.number,
                "mark": chosen.mark,
            },
        )


def withdraw_deposit(
    *,
    deposit: Deposit,
    version: int,
    reason: str,
    effective_on: dt.date,
    posting_key: UUID | str,
    person: User,
    at: dt.datetime,
) -> Entry:
    """Withdraw a charge by reversing it: it was wrong, or the supplier dropped it.

    Raise StaleRowError, and RefusedError where money has moved on it since.
    """
    with transaction.atomic():
        row = lock_deposit(deposit)
        charge = charge_of(row)
        again = Entry.objects.filter(posting_key=str(posting_key)).exists()
        if not again:
            if row.version != version:
                raise StaleRowError
            _refuse_withdrawal(row)
        entry = reverse_entry(
            entry=charge,
            effective_on=effective_on,
            reason=reason,
            posting_key=str(posting_key),
            person=person,
            at=at,
        )
        if again:
            return entry
        crate = row.crate
        change_row(row, version=version, is_withdrawn=True)
        record_event(
            kind="deposit.withdrawn",
            at=at,
            actor=person,
            location=row.location,
            subjects=[row, *([crate, crate.shipment] if crate else [])],
            data={
                "invoice": row.invoice_number,
                "reason": reason,
            },
        )
        return entry


def charge_of(deposit: Deposit) -> Entry:
    """Return the entry that recorded the deposit."""
    rows = Entry.objects.select_related("location", "supplier")
    return (
        rows.filter(legs__deposit=deposit, kind__in=("charge", "opening"))
        .distinct()
        .get()
    )


def _refuse_withdrawal(row: Deposit) -> None:
    if row.is_withdrawn:
        raise RefusedError("This charge is already withdrawn. Nothing was posted.")
    opened = postings.EXPECTED if row.shipped_back_on else postings.RECEIVABLE
    if deposit_balance(row, opened) != row.amount_cents:
        raise RefusedError(
            "Money has moved on this deposit since it was charged, so the charge "
            "cannot be withdrawn. Nothing was posted. Reverse the later entries "
            "first."
        )


def forfeit_deposit(
    *,
    deposit: Deposit,
    forfeited_on: dt.date,
    reason: str,
    posting_key: UUID | str,
    person: User,
    at: dt.datetime,
) -> Entry:
    """Forfeit what is still open on a crate that does not go back.

    The crate, where one is matched, is forfeited with it. Raise RefusedError where
    nothing is open, or the crate has been shipped.
    """
    body = {"forfeits": deposit.pk, "on": forfeited_on.isoformat(), "why": reason}
    with transaction.atomic():
        row = lock_deposit(deposit)
        crate = lock_crate(row.crate_id) if row.crate_id else None
        found = find_posted(str(posting_key), body_hash_of(body))
        if found is not None:
            return found
        open_cents = deposit_balance(row, postings.RECEIVABLE)
        if not open_cents:
            raise RefusedError(
                "Nothing is open on this deposit. Nothing was posted. Check its "
                "history."
            )
        _refuse_crate_act(crate)
        entry = post_entry(
            kind="forfeiture",
            location=row.location,
            supplier=row.supplier,
            currency=row.currency,
            effective_on=forfeited_on,
            lines=postings.forfeited(row.pk, open_cents),
            posting_key=str(posting_key),
            person=person,
            at=at,
            note=reason,
            subjects=[crate.shipment] if crate else [],
            body=body,
        )
        if crate is not None:
            amount = format_cents(open_cents, row.currency, code=True)
            data = {"amount": amount, "reason": reason}
            move_crate(
                crate=crate,
                act="forfeit",
                person=person,
                at=at,
                data=data,
                subjects=[row],
            )
        return entry


def _refuse_crate_act(crate: Crate | None) -> None:
    """Raise RefusedError where the crate cannot be forfeited, before anything is posted."""
    if crate is None:
        return
    granted(LIFE.decide(crate.state, "forfeit", CrateFacts()), crate)
