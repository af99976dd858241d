"""A supplier's credit memo: its lines as stated, each matched to a deposit."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from django.db import IntegrityError, transaction
from django.db.models import Max

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.ledger.locks import lock_book
from inventory.actions.memos.deposits import refuse_other_book
from inventory.models import (
    CreditMemo,
    Deposit,
    Location,
    MemoLine,
    Supplier,
    User,
)
from inventory.queries.deposits.facts import currency_of
from inventory.queries.memos.awaited import (
    awaited_one,
    fates_of,
    line_of,
    pool_beside,
    pool_of,
)
from inventory.rules.crates.words import MEMO_FATES
from inventory.rules.memos import matching as rules
from inventory.rules.memos.matching import Fate, Line

MOST_LINES = 5_000


def enter_memo(
    *,
    location: Location,
    supplier: Supplier,
    number: str,
    dated_on: date,
    received_on: date,
    lines: Sequence[Line],
    person: User,
    at: datetime,
    currency: str = "",
) -> CreditMemo:
    """Enter a memo with its lines, each with its result; nothing is posted yet.

    Raise RefusedError where this supplier's number is already entered.
    """
    if dated_on > received_on:
        raise RefusedError(
            "The memo date is after the day we received it. Nothing was saved. "
            "Check both dates."
        )
    try:
        with transaction.atomic():
            memo = CreditMemo.objects.create(
                location=location,
                supplier=supplier,
                number=number,
                dated_on=dated_on,
                received_on=received_on,
                currency=currency or currency_of(location, supplier, dated_on),
                made_at=at,
                made_by=person,
            )
            _add(memo, lines)
            record_event(
                kind="memo.entered",
                at=at,
                actor=person,
                location=location,
                subjects=[memo],
                data={"number": number, "count": len(lines)},
            )
            return memo
    except IntegrityError as error:
        raise RefusedError(
            f"Memo {number} of {supplier} is already entered. Nothing was saved. "
            "Open that memo."
        ) from error


def add_memo_line(
    *, memo: CreditMemo, line: Line, person: User, at: datetime
) -> MemoLine:
    """Add a line to a memo that is not posted. Its position is the next one."""
    with transaction.atomic():
        row = lock_memo(memo)
        refuse_posted(row)
        last = row.lines.aggregate(last=Max("position"))["last"] or 0
        if row.lines.count() >= MOST_LINES:
            raise RefusedError(
                f"A memo holds at most {MOST_LINES:,} lines. Nothing was saved. Enter "
                "the rest as another memo."
            )
        (made,) = _add(row, [replace(line, position=last + 1)])
        change_row(row, version=row.version)
        _tell_change(row, f"line {made.position} added", person=person, at=at)
        return made


def drop_memo_line(*, line: MemoLine, version: int, person: User, at: datetime) -> None:
    """Remove a mistyped line, while its memo is not posted."""
    with transaction.atomic():
        row = lock_memo(line.memo)
        refuse_posted(row)
        fresh = _fresh(line, version)
        _refuse_paid(fresh)
        position = fresh.position
        fresh.delete()
        change_row(row, version=row.version)
        _tell_change(row, f"line {position} removed", person=person, at=at)


def match_memo_line(
    *,
    line: MemoLine,
    version: int,
    deposit: Deposit | None,
    person: User,
    at: datetime,
) -> Fate:
    """Match a line to a deposit, or with None mark it as not ours.

    Raise StaleRowError, and RefusedError for a deposit of another book or one that
    another line of the memo took.
    """
    with transaction.atomic():
        row = lock_memo(line.memo)
        refuse_posted(row)
        fresh = _fresh(line, version)
        _refuse_paid(fresh)
        fate = _fate_by_hand(row, fresh, deposit)
        keep_fate(fresh, fate)
        change_row(row, version=row.version)
        record_event(
            kind="memo.matched",
            at=at,
            actor=person,
            location=row.location,
            subjects=[row, *([deposit] if deposit else [])],
            data={
                "number": row.number,
                "position": fresh.position,
                "fate": MEMO_FATES[fate.fate].lower(),
                "deposit": deposit.pk if deposit else None,
            },
        )
        return fate


def lock_memo(memo: CreditMemo) -> CreditMemo:
    """Lock the memo's book, then return the current memo."""
    lock_book(memo.location, memo.supplier, memo.currency)
    rows = CreditMemo.objects.select_for_update(of=("self",))
    return rows.select_related("location", "supplier").get(pk=memo.pk)


def refuse_posted(row: CreditMemo) -> None:
    """Raise RefusedError where the memo is posted: its lines cannot change."""
    if row.reversed_on is not None:
        raise RefusedError(
            f"{row} was reversed, so its lines cannot change. Nothing was saved. Enter "
            "the memo again."
        )
    if row.is_posted:
        raise RefusedError(
            f"{row} is posted, so its lines cannot change. Nothing was saved. Decide "
            "its short-paid credits, or reverse the memo and enter it again."
        )


def keep_fate(line: MemoLine, fate: Fate) -> None:
    """Write a line's result where it changed."""
    change_row(
        line,
        version=line.version,
        deposit_id=fate.key,
        expected_cents=fate.expected,
        fate=fate.fate,
    )


def _add(memo: CreditMemo, lines: Sequence[Line]) -> list[MemoLine]:
    fates = fates_of(lines, pool_beside(memo, pool_of(memo, lines)), memo.currency)
    return MemoLine.objects.bulk_create(
        MemoLine(
            memo=memo,
            position=line.position,
            mark=line.mark,
            type_name=line.type_name,
            amount_cents=line.amount,
            remark=line.remark,
            deposit_id=fate.key,
            expected_cents=fate.expected,
            fate=fate.fate,
        )
        for line, fate in zip(lines, fates, strict=True)
    )


def _fresh(line: MemoLine, version: int) -> MemoLine:
    found = MemoLine.objects.filter(pk=line.pk, version=version).first()
    if found is None:
        raise StaleRowError
    return found


def _refuse_paid(line: MemoLine) -> None:
    """Raise RefusedError for a line of a long memo that is already posted."""
    if line.entry_id is not None or line.short_credits.exists():
        raise RefusedError(
            f"Line {line.position} is already posted. Nothing was saved. Post the "
            "rest of the memo."
        )


def _fate_by_hand(memo: CreditMemo, line: MemoLine, deposit: Deposit | None) -> Fate:
    said = line_of(line)
    if deposit is None:
        return rules.not_ours(said)
    refuse_other_book(memo, deposit)
    taken = memo.lines.exclude(pk=line.pk).filter(deposit=deposit, fate__in=rules.PAYS)
    if other := taken.first():
        raise RefusedError(
            f"Line {other.position} of this memo pays for that crate. Nothing was "
            "saved. Choose another crate, or change that line first."
        )
    fate = rules.match_one(said, awaited_one(deposit), memo.currency)
    if not fate.fate:
        raise RefusedError(f"{fate.sentence} Nothing was saved.")
    return fate


def _tell_change(row: CreditMemo, changed: str, *, person: User, at: datetime) -> None:
    record_event(
        kind="memo.changed",
        at=at,
        actor=person,
        location=row.location,
        subjects=[row],
        data={"number": row.number, "changed": changed},
    )
