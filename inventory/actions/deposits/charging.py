"""Recording deposits from an invoice line or from earlier books."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.db import IntegrityError, transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.actions.deposits.crates import find_by_mark, lock_crates, refuse_crate
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import body_hash_of, find_posted, post_entry
from inventory.models import (
    Crate,
    CrateTerms,
    CrateType,
    Deposit,
    Entry,
    Location,
    Supplier,
    User,
)
from inventory.rules.deposits import postings
from inventory.rules.reckoning.money import format_cents

MOST_PIECES = 200
"""The most crates of one invoice line, posted at once."""


@dataclass(frozen=True)
class InvoiceLine:
    """An invoice line to charge, or what is open in earlier books.

    ``amount_cents`` is for each crate, ``booked_on`` the day it takes effect. Crates
    that went home before have the ``shipped_back_bill``, and went on ``invoiced_on``.
    """

    location: Location
    supplier: Supplier
    crate_type: CrateType | None
    invoice_number: str
    line_number: int
    invoiced_on: dt.date
    booked_on: dt.date
    amount_cents: int
    currency: str
    terms: CrateTerms | None
    is_opening: bool = False
    shipped_back_bill: str = ""


@dataclass(frozen=True)
class Piece:
    """One crate of the line: which of how many, its mark, and the crate if known."""

    number: int
    of: int
    mark: str
    crate: Crate | None
    key: str


def pieces_of(
    line: InvoiceLine,
    count: int,
    marks: Sequence[str],
    crates: Sequence[Crate | None],
    *,
    posting_key: str,
) -> list[Piece]:
    """Return the pieces of a line. Raise RefusedError where the lists do not fit."""
    _refuse_line(line, count)
    given = [mark for mark in marks if mark]
    known = [crate.pk for crate in crates if crate is not None]
    if len(set(given)) != len(given) or len(set(known)) != len(known):
        raise RefusedError("A crate is listed twice. Nothing was posted.")
    for listed in (marks, crates):
        if listed and len(listed) != count:
            raise RefusedError(
                f"The line charges {count} crates, but {len(listed)} are listed. "
                "Nothing was posted. List as many as it charges, or none."
            )
    all_marks = list(marks) or [""] * count
    all_crates = list(crates) or [None] * count
    return [
        Piece(number, count, mark, crate, f"{posting_key}/{number}")
        for number, (mark, crate) in enumerate(
            zip(all_marks, all_crates, strict=True), start=1
        )
    ]


def take_on(
    line: InvoiceLine, pieces: Sequence[Piece], *, person: User, at: dt.datetime
) -> list[Deposit]:
    """Make and post a deposit for each piece; a repeat returns those made before."""
    with transaction.atomic():
        lock_book(line.location, line.supplier, line.currency)
        bodies = [_body(line, piece) for piece in pieces]
        if find_posted(pieces[0].key, body_hash_of(bodies[0])) is not None:
            return _made_before(pieces, bodies)
        _refuse_charged_line(line)
        deposits = [
            _make(line, piece, crate, person=person, at=at)
            for piece, crate in zip(pieces, _crates(line, pieces), strict=True)
        ]
        for deposit, piece, body in zip(deposits, pieces, bodies, strict=True):
            _post(line, deposit, piece, body, person=person, at=at)
    return deposits


def _refuse_line(line: InvoiceLine, count: int) -> None:
    if not 1 <= count <= MOST_PIECES:
        raise RefusedError(
            f"One line charges 1 to {MOST_PIECES} crates. Nothing was posted."
        )
    if line.amount_cents < 1:
        raise RefusedError("A deposit must be more than zero. Nothing was posted.")
    if line.booked_on < line.invoiced_on:
        raise RefusedError(
            "The booking day cannot be before the invoice date. Nothing was posted. "
            "Check both dates."
        )
    if line.crate_type and line.crate_type.supplier_id != line.supplier.pk:
        raise RefusedError(
            f"{line.crate_type} belongs to another supplier. Nothing was posted."
        )


def _body(line: InvoiceLine, piece: Piece) -> dict[str, object]:
    """Return what was asked for, to compare with the posting key."""
    went = {"went": line.shipped_back_bill} if line.shipped_back_bill else {}
    return went | {
        "location": line.location.pk,
        "supplier": line.supplier.pk,
        "crate_type": line.crate_type.pk if line.crate_type else None,
        "invoice": [line.invoice_number, line.line_number],
        "days": [line.invoiced_on.isoformat(), line.booked_on.isoformat()],
        "amount": [line.amount_cents, line.currency],
        "is_opening": line.is_opening,
        "piece": [piece.number, piece.of],
        "mark": piece.mark,
        "crate": piece.crate.pk if piece.crate else None,
    }


def _made_before(
    pieces: Sequence[Piece], bodies: Sequence[dict[str, object]]
) -> list[Deposit]:
    entries = [
        find_posted(piece.key, body_hash_of(body))
        for piece, body in zip(pieces, bodies, strict=True)
    ]
    rows = Entry.objects.filter(pk__in=[entry.pk for entry in entries if entry])
    legs = rows.filter(legs__deposit__isnull=False)
    keys = set(legs.values_list("legs__deposit_id", flat=True))
    return list(Deposit.objects.filter(pk__in=keys).order_by("piece_number"))


def _refuse_charged_line(line: InvoiceLine) -> None:
    twin = Deposit.objects.filter(
        supplier=line.supplier,
        invoice_number=line.invoice_number,
        line_number=line.line_number,
        is_withdrawn=False,
    )
    if twin.exists():
        raise RefusedError(
            f"Line {line.line_number} of invoice {line.invoice_number} is already "
            "charged. Nothing was posted. If the first charge was wrong, withdraw "
            "it."
        )


def _crates(line: InvoiceLine, pieces: Sequence[Piece]) -> list[Crate | None]:
    """Return the crate of each piece, locked: the given one, or the one with its mark."""
    if line.shipped_back_bill:
        return [None for _ in pieces]
    keys: list[int | None] = []
    for piece in pieces:
        crate = piece.crate
        if crate is None and piece.mark:
            crate = find_by_mark(line.location, line.supplier, piece.mark)
        keys.append(crate.pk if crate else None)
    locked = lock_crates(key for key in keys if key is not None)
    for crate in locked.values():
        refuse_crate(crate, line.location, line.supplier)
    return [None if key is None else locked[key] for key in keys]


def _make(
    line: InvoiceLine,
    piece: Piece,
    crate: Crate | None,
    *,
    person: User,
    at: dt.datetime,
) -> Deposit:
    own_type = crate.crate_type if crate else None
    try:
        return Deposit.objects.create(
            location=line.location,
            supplier=line.supplier,
            crate_type=line.crate_type or own_type,
            crate=crate,
            terms=line.terms,
            invoice_number=line.invoice_number,
            line_number=line.line_number,
            piece_number=piece.number,
            invoiced_on=line.invoiced_on,
            mark=piece.mark or (crate.mark if crate else ""),
            amount_cents=line.amount_cents,
            currency=line.currency,
            is_opening=line.is_opening,
            shipped_back_on=line.invoiced_on if line.shipped_back_bill else None,
            shipped_back_bill=line.shipped_back_bill,
            charged_at=at,
            charged_by=person,
        )
    except IntegrityError as error:
        # Another location charged the same line between our check and this write.
        raise RefusedError(
            "Someone else charged this line or crate just now. Nothing was posted. "
            "Check the deposits, then try again."
        ) from error


def _post(
    line: InvoiceLine,
    deposit: Deposit,
    piece: Piece,
    body: dict[str, object],
    *,
    person: User,
    at: dt.datetime,
) -> None:
    bill = [deposit.crate.shipment] if deposit.crate else []
    post_entry(
        kind="opening" if line.is_opening else "charge",
        location=line.location,
        supplier=line.supplier,
        currency=line.currency,
        effective_on=line.booked_on,
        lines=_lines(line)(deposit.pk, line.amount_cents),
        posting_key=piece.key,
        person=person,
        at=at,
        note=f"Shipped back on bill {line.shipped_back_bill}"
        if line.shipped_back_bill
        else f"Invoice {line.invoice_number}, line {line.line_number}",
        subjects=bill,
        body=body,
    )
    record_event(
        kind="deposit.credit-opened" if line.shipped_back_bill else "deposit.charged",
        at=at,
        actor=person,
        location=line.location,
        subjects=[deposit, *bill, *([deposit.crate] if deposit.crate else [])],
        data={
            "amount": format_cents(line.amount_cents, line.currency, code=True),
            "invoice": f"{line.invoice_number} line {line.line_number}",
            "piece": piece.number,
            "mark": deposit.mark,
            "bill": line.shipped_back_bill,
        },
    )


def _lines(line: InvoiceLine) -> Callable[[int, int], postings.Lines]:
    """Return what posts a deposit of the line: charged, open before, or credit due."""
    if line.shipped_back_bill:
        return postings.opened_as_expected
    return postings.opened if line.is_opening else postings.charged
