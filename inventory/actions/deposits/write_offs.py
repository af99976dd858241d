"""Writing off a short-paid credit: above a limit two people must agree."""

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction
from django.db.models import Model

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import body_hash_of, find_posted, post_entry
from inventory.models import ShortCredit, User
from inventory.rules.deposits import postings
from inventory.rules.reckoning.money import format_cents

_OUT_OF = {"open": postings.EXPECTED, "disputed": postings.DISPUTED}


@dataclass(frozen=True)
class _Said:
    """Who writes off, when, why, and under which key."""

    on: dt.date
    reason: str
    posting_key: str
    person: User
    at: dt.datetime


def ask_write_off(
    *,
    short: ShortCredit,
    version: int,
    reason: str,
    written_off_on: dt.date,
    posting_key: UUID | str,
    person: User,
    at: dt.datetime,
) -> ShortCredit:
    """Write off a small short-paid credit, or ask a second person for a larger one.

    Above the location's limit the row only stores who asked and why. Raise
    StaleRowError, and RefusedError where it is already settled.
    """
    with transaction.atomic():
        row = _locked(short)
        body = _body(row, written_off_on, reason)
        if find_posted(str(posting_key), body_hash_of(body)) is not None:
            return row
        _refuse_settled(row)
        if not needs_second_person(row):
            said = _Said(written_off_on, reason, str(posting_key), person, at)
            return _write_off(row, version, said)
        if row.write_off_asked_by_id is not None:
            raise RefusedError(
                "A write-off is already requested. Nothing was saved. The manager "
                "must approve it."
            )
        change_row(
            row,
            version=version,
            write_off_asked_by=person,
            write_off_reason=reason,
        )
        record_event(
            kind="write-off.asked",
            at=at,
            actor=person,
            location=row.location,
            subjects=_subjects(row),
            data={
                "amount": format_cents(row.amount_cents, row.currency, code=True),
                "reason": reason,
            },
        )
        return row


def approve_write_off(
    *,
    short: ShortCredit,
    version: int,
    written_off_on: dt.date,
    posting_key: UUID | str,
    person: User,
    at: dt.datetime,
) -> ShortCredit:
    """Write off a short-paid credit that another person asked to write off.

    Raise RefusedError for the person who asked, and where nobody has asked.
    """
    with transaction.atomic():
        row = _locked(short)
        body = _body(row, written_off_on, row.write_off_reason)
        if find_posted(str(posting_key), body_hash_of(body)) is not None:
            return row
        _refuse_settled(row)
        if row.write_off_asked_by_id is None:
            raise RefusedError(
                "Nobody has asked for this write-off. Nothing was posted."
            )
        if row.write_off_asked_by_id == person.pk:
            raise RefusedError(
                "You asked for this write-off, so another person must approve it. "
                "Nothing was posted. Ask the manager."
            )
        reason = row.write_off_reason
        said = _Said(written_off_on, reason, str(posting_key), person, at)
        return _write_off(row, version, said)


def needs_second_person(row: ShortCredit) -> bool:
    """Return whether this amount needs a second person's approval at its location."""
    return postings.needs_second_person(
        row.amount_cents,
        currency=row.currency,
        limit=row.location.write_off_limit_cents,
        limit_currency=row.location.currency,
    )


def _locked(short: ShortCredit) -> ShortCredit:
    lock_book(short.location, short.supplier, short.currency)
    rows = ShortCredit.objects.select_for_update(of=("self",))
    joined = rows.select_related("location", "supplier", "deposit__crate__shipment")
    return joined.get(pk=short.pk)


def _refuse_settled(row: ShortCredit) -> None:
    if row.state not in _OUT_OF:
        raise RefusedError(
            "This short-paid credit is already settled: "
            f"{row.get_state_display().lower()}. Nothing was posted."
        )


def _write_off(row: ShortCredit, version: int, said: _Said) -> ShortCredit:
    if row.version != version:
        raise StaleRowError
    out_of = _OUT_OF[row.state]
    post_entry(
        kind="write-off",
        location=row.location,
        supplier=row.supplier,
        currency=row.currency,
        effective_on=said.on,
        lines=postings.written_off(row.deposit_id, row.amount_cents, out_of=out_of),
        posting_key=said.posting_key,
        person=said.person,
        at=said.at,
        note=said.reason,
        subjects=[row],
        body=_body(row, said.on, said.reason),
    )
    change_row(
        row,
        version=version,
        state="written-off",
        write_off_reason=said.reason,
        settled_on=said.on,
    )
    record_event(
        kind="write-off.approved",
        at=said.at,
        actor=said.person,
        location=row.location,
        subjects=_subjects(row),
        data={
            "amount": format_cents(row.amount_cents, row.currency, code=True),
            "reason": said.reason,
        },
    )
    return row


def _body(row: ShortCredit, on: dt.date, reason: str) -> dict[str, object]:
    return {"writes_off": row.pk, "on": on.isoformat(), "why": reason}


def _subjects(row: ShortCredit) -> list[Model]:
    crate = row.deposit.crate
    return [row, row.deposit, *([crate, crate.shipment] if crate else [])]
