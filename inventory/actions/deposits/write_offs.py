"""Writing off a short-paid credit: above a limit two people must agree."""

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction
from django.db.models import Model

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import StaleRowError, change_row, granted
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import body_hash_of, find_posted, post_entry
from inventory.models import ShortCredit, User
from inventory.rules.deposits import postings
from inventory.rules.memos import short_credits as rules
from inventory.rules.reckoning.money import format_cents

_OUT_OF = {rules.OPEN: postings.EXPECTED, rules.DISPUTED: postings.DISPUTED}


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
        act = rules.give_up_act(row.facts_for(person.pk))
        if act == "write-off":
            said = _Said(written_off_on, reason, str(posting_key), person, at)
            return _write_off(row, version, act, said)
        _require(row, act, person, reason)
        changes = {"write_off_asked_by": person, "write_off_reason": reason}
        change_row(row, version=version, **changes)
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
        reason = row.write_off_reason
        said = _Said(written_off_on, reason, str(posting_key), person, at)
        return _write_off(row, version, "approve-write-off", said)


def _locked(short: ShortCredit) -> ShortCredit:
    lock_book(short.location, short.supplier, short.currency)
    rows = ShortCredit.objects.select_for_update(of=("self",))
    joined = rows.select_related("location", "supplier", "deposit__crate__shipment")
    return joined.get(pk=short.pk)


def _require(row: ShortCredit, act: str, person: User, reason: str) -> str:
    facts = row.facts_for(person.pk, reason)
    return granted(rules.LIFE.decide(row.state, act, facts))


def _write_off(row: ShortCredit, version: int, act: str, said: _Said) -> ShortCredit:
    state = _require(row, act, said.person, said.reason)
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
    after = {"state": state, "write_off_reason": said.reason}
    change_row(row, version=version, settled_on=said.on, **after)
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
