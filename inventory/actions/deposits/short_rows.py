"""The rows of short-paid credits: how they open, and how payments are applied."""

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Model

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import change_row
from inventory.actions.crates.life import lock_crate, move_crate
from inventory.models import Deposit, MemoLine, ShortCredit, User
from inventory.queries.ledger.balances import deposit_balance, standing
from inventory.rules.deposits import postings
from inventory.rules.memos import short_credits as rules
from inventory.rules.reckoning.money import format_cents


@dataclass(frozen=True)
class Decided:
    """A person's decision: the day, the reason, and the posting key."""

    on: dt.date
    posting_key: UUID | str
    person: User
    at: dt.datetime
    reason: str = ""


def open_short(
    *,
    deposit: Deposit,
    cause: str,
    cents: int,
    opened_on: dt.date,
    person: User,
    at: dt.datetime,
    memo_line: MemoLine | None = None,
    explanation: str = "",
    state: str = rules.OPEN,
) -> ShortCredit:
    """Open a short-paid credit on a deposit, or update the open one's cause and sum.

    Call it in the transaction of the act that found it, under the book's lock.
    ``deposit`` has location, supplier and crate joined.
    """
    found = {"cause": cause, "amount_cents": cents, "explanation": explanation}
    live = ShortCredit.objects.filter(deposit=deposit, state=rules.OPEN)
    row = live.order_by("pk").first() if state == rules.OPEN else None
    if row is not None:
        change_row(row, version=row.version, memo_line=memo_line, **found)
    else:
        row = ShortCredit.objects.create(
            location=deposit.location,
            supplier=deposit.supplier,
            deposit=deposit,
            memo_line=memo_line,
            currency=deposit.currency,
            state=state,
            opened_on=opened_on,
            disputed_on=opened_on if state == rules.DISPUTED else None,
            settled_on=None if state in rules.LIFE.live else opened_on,
            **found,
        )
    record_event(
        kind="short.opened",
        at=at,
        actor=person,
        location=deposit.location,
        subjects=[*subjects_of(row), *([memo_line.memo] if memo_line else [])],
        data={
            "amount": format_cents(cents, deposit.currency, code=True),
            "what": str(deposit.crate or deposit),
            "cause": row.get_cause_display().lower(),
        },
    )
    return row


def settle_paid(
    *,
    deposit: Deposit,
    state: str,
    cents: int,
    on: dt.date,
    person: User,
    at: dt.datetime,
) -> None:
    """Apply ``cents`` received to the live short-paid credits in this state.

    The oldest first; one that is paid in part is split, so that each row accounts
    for its own sum.
    """
    rows = ShortCredit.objects.filter(deposit=deposit, state=state).order_by("pk")
    for row in rows.select_related("location", "supplier", "deposit__crate"):
        if cents <= 0:
            return
        paid = min(cents, row.amount_cents)
        cents -= paid
        split_won(row, paid, on, person=person, at=at)


def settle_crate(deposit: Deposit, *, person: User, at: dt.datetime) -> None:
    """Move the crate on once nothing is open on its deposit.

    One that was credited short becomes credited where the rest was paid too; one
    that no memo named is credited short. One that a carrier lost stays lost.
    """
    if deposit.crate_id is None or deposit_balance(deposit):
        return
    crate = lock_crate(deposit.crate_id)
    shorts = ShortCredit.objects.filter(deposit=deposit).exclude(cause="hold")
    given_up = shorts.filter(state__in=(rules.ACCEPTED, rules.WRITTEN_OFF)).exists()
    act = "credit-short" if given_up else "credit"
    if crate.state == "lost" or not crate.life.can_start(crate.state, act):
        return
    move_crate(
        crate=crate,
        act=act,
        person=person,
        at=at,
        data=credited_words(deposit),
        subjects=[deposit],
    )


def credited_words(deposit: Deposit) -> dict[str, object]:
    """Return the data of the crate's credit event."""
    rows = deposit.legs.filter(account__kind=postings.SUPPLIER, cents__gt=0)
    paid = sum(rows.filter(standing("entry")).values_list("cents", flat=True))
    left = max(0, deposit.amount_cents - paid)
    return {
        "amount": format_cents(paid, deposit.currency, code=True),
        "short": format_cents(left, deposit.currency, code=True),
    }


def subjects_of(row: ShortCredit) -> list[Model]:
    """Return the rows whose history a short-paid credit's event belongs to."""
    crate = row.deposit.crate
    return [row, row.deposit, *([crate] if crate else [])]


def split_won(
    row: ShortCredit, paid: int, on: dt.date, *, person: User, at: dt.datetime
) -> None:
    """Set the row to what was paid of it; the rest continues in another row."""
    rest = row.amount_cents - paid
    state = row.state
    change_row(
        row, version=row.version, state=rules.WON, amount_cents=paid, settled_on=on
    )
    if rest:
        ShortCredit.objects.create(
            location=row.location,
            supplier=row.supplier,
            deposit=row.deposit,
            memo_line=row.memo_line,
            cause=row.cause,
            amount_cents=rest,
            currency=row.currency,
            state=state,
            explanation=row.explanation,
            opened_on=row.opened_on,
            disputed_on=row.disputed_on,
        )
    tell_decided("short.won", row, Decided(on, "", person, at))


def tell_decided(kind: str, row: ShortCredit, decided: Decided) -> None:
    """Record the decision on a short-paid credit."""
    record_event(
        kind=kind,
        at=decided.at,
        actor=decided.person,
        location=row.location,
        subjects=subjects_of(row),
        data={
            "amount": format_cents(row.amount_cents, row.currency, code=True),
            "reason": decided.reason,
        },
    )
