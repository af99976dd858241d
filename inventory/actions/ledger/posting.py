"""The only writer of the ledger: legs first, then the entry that seals them."""

import datetime as dt
import hashlib
import uuid
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Model

from inventory.actions.core.events import noun_of, record_event
from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.checks import (
    refuse_double_credit,
    refuse_locked_period,
    refuse_negative,
    refuse_strangers,
)
from inventory.actions.ledger.locks import lock_book
from inventory.models import (
    Account,
    Carrier,
    Deposit,
    Entry,
    Leg,
    Location,
    Supplier,
    User,
)
from inventory.rules.core.accounts import CARRIER, SUPPLIER
from inventory.rules.crates import words
from inventory.rules.deposits.postings import (
    Line,
    PostingError,
    amount_of,
    check_lines,
)
from inventory.rules.evidence.chain import canonical_json
from inventory.rules.reckoning.money import format_cents


class ChangedPostingError(RefusedError):
    """The same posting key was used again with another body."""

    def __init__(self) -> None:
        super().__init__(
            "This was already posted, with other figures. Nothing was posted a "
            "second time. Check the first posting, then open a new form if you need "
            "another."
        )


def body_hash_of(body: Mapping[str, object]) -> str:
    """Return the SHA-256 of what was asked for, to tell a repeat from a change."""
    return hashlib.sha256(canonical_json(dict(body)).encode()).hexdigest()


def find_posted(posting_key: str, body_hash: str) -> Entry | None:
    """Return the entry that this key already made, or None.

    Raise ChangedPostingError where it was made from another body.
    """
    rows = Entry.objects.select_related("location", "supplier", "carrier")
    found = rows.filter(posting_key=posting_key).first()
    if found is not None and found.body_hash != body_hash:
        raise ChangedPostingError
    return found


def post_entry(  # noqa: PLR0913 - an entry has that many columns
    *,
    kind: str,
    location: Location,
    supplier: Supplier | None = None,
    carrier: Carrier | None = None,
    currency: str,
    effective_on: dt.date,
    lines: Sequence[Line],
    posting_key: str,
    person: User,
    at: dt.datetime,
    note: str = "",
    reverses: Entry | None = None,
    subjects: Iterable[Model] = (),
    body: Mapping[str, object] | None = None,
) -> Entry:
    """Post one entry of a supplier or a carrier, in the caller's transaction or its own.

    A key that was posted before with the same body returns the same entry.
    ``body`` is what was asked for, where the lines alone do not show it. Raise
    ChangedPostingError for another body, and RefusedError for a locked period, for a
    deposit that would fall below zero or be credited twice, and for lines that do not
    sum to zero. An act that changes rows or records events first calls ``lock_book``
    before both.
    """
    if kind not in words.ENTRY_KINDS:
        raise LookupError(f"{kind} is not a kind of entry.")
    with transaction.atomic():
        draft = Entry(
            kind=kind,
            location=location,
            supplier=supplier,
            carrier=carrier,
            currency=currency,
            effective_on=effective_on,
            entered_at=at,
            entered_by=person,
            note=note,
            posting_key=posting_key,
            reverses=reverses,
        )
        lock_book(location, draft.partner, currency)
        draft.body_hash = body_hash_of(_body(draft, lines) if body is None else body)
        found = find_posted(posting_key, draft.body_hash)
        if found is not None:
            return found
        deposits = _checked_deposits(draft, lines)
        legs = _seal(draft, lines)
        _tell(draft, legs, lines, [*deposits, *_crates(deposits), *subjects])
    return draft


def lines_of(entry: Entry) -> tuple[Line, ...]:
    """Return the lines of an entry as they were posted, in order."""
    legs = entry.legs.order_by("position")
    rows = legs.values_list("account__kind", "cents", "deposit_id")
    return tuple(Line(kind, cents, deposit) for kind, cents, deposit in rows)


def _body(draft: Entry, lines: Sequence[Line]) -> dict[str, object]:
    return {
        "kind": draft.kind,
        "location": draft.location_id,
        **_partner(draft),
        "currency": draft.currency,
        "effective_on": draft.effective_on.isoformat(),
        "note": draft.note,
        "reverses": str(draft.reverses_id or ""),
        "lines": [[line.account, line.cents, line.deposit] for line in lines],
    }


def _partner(draft: Entry) -> dict[str, int]:
    own = SUPPLIER if draft.carrier_id is None else CARRIER
    return {own: draft.partner.pk}


def _refuse_kinds(draft: Entry, lines: Sequence[Line]) -> None:
    """Raise LookupError where a kind of account is not one of this kind of partner."""
    own = CARRIER if draft.carrier_id else SUPPLIER
    for line in lines:
        if own not in words.ACCOUNT_PARTNERS.get(line.account, ()):
            raise LookupError(f"{line.account} is no account of a {own}.")


def _checked_deposits(draft: Entry, lines: Sequence[Line]) -> list[Deposit]:
    """Return the deposits of the lines, after every check that may refuse."""
    try:
        check_lines(lines)
    except PostingError as error:
        raise RefusedError(f"{error} Nothing was posted.") from error
    _refuse_kinds(draft, lines)
    keys = {line.deposit for line in lines if line.deposit is not None}
    rows = Deposit.objects.filter(pk__in=keys).select_related("crate")
    deposits = list(rows.order_by("pk"))
    refuse_strangers(draft, keys, deposits)
    refuse_locked_period(draft.location, draft.effective_on)
    for deposit in deposits:
        own = [line for line in lines if line.deposit == deposit.pk]
        refuse_negative(deposit, own, draft.effective_on)
        refuse_double_credit(deposit, own)
    return deposits


def _seal(draft: Entry, lines: Sequence[Line]) -> list[Leg]:
    draft.pk = uuid.uuid4()
    accounts = _accounts(draft, sorted({line.account for line in lines}))
    legs = Leg.objects.bulk_create(
        Leg(
            entry_id=draft.pk,
            position=position,
            account=accounts[line.account],
            deposit_id=line.deposit,
            cents=line.cents,
        )
        for position, line in enumerate(lines, start=1)
    )
    try:
        draft.save(force_insert=True)
    except IntegrityError as error:
        # Another book took the key between our check and this write.
        if "posting_key" in str(error):
            raise ChangedPostingError from error
        raise
    return legs


def _accounts(draft: Entry, kinds: Iterable[str]) -> dict[str, Account]:
    own: dict[str, Any] = {f"{name}_id": key for name, key in _partner(draft).items()}
    return {
        kind: Account.objects.get_or_create(
            **own,
            location_id=draft.location_id,
            kind=kind,
            currency=draft.currency,
        )[0]
        for kind in kinds
    }


def _crates(deposits: Iterable[Deposit]) -> list[Model]:
    return [deposit.crate for deposit in deposits if deposit.crate is not None]


def _tell(
    draft: Entry, legs: Sequence[Leg], lines: Sequence[Line], about: Iterable[Model]
) -> None:
    subjects = {(noun_of(row), str(row.pk)): row for row in [draft, *about]}
    amount = format_cents(amount_of(lines), draft.currency, code=True)
    undone_kind = draft.reverses.kind if draft.reverses else draft.kind
    record_event(
        kind="ledger.reversed" if draft.reverses else "ledger.posted",
        at=draft.entered_at,
        actor=draft.entered_by,
        location=draft.location,
        subjects=subjects.values(),
        data={
            "what": words.ENTRY_KINDS[undone_kind],
            "amount": amount,
            "entry": {"id": str(draft.pk), **_columns(draft)},
            "legs": [
                {
                    "id": leg.pk,
                    "position": leg.position,
                    "account": leg.account_id,
                    "kind": line.account,
                    "deposit": leg.deposit_id,
                    "cents": leg.cents,
                }
                for leg, line in zip(legs, lines, strict=True)
            ],
        },
    )


def _columns(draft: Entry) -> dict[str, object]:
    return {
        "kind": draft.kind,
        "location": draft.location_id,
        **_partner(draft),
        "currency": draft.currency,
        "effective_on": draft.effective_on.isoformat(),
        "entered_at": draft.entered_at.isoformat(),
        "entered_by": draft.entered_by_id,
        "note": draft.note,
        "posting_key": draft.posting_key,
        "body_hash": draft.body_hash,
        "reverses": str(draft.reverses_id) if draft.reverses_id else None,
    }
