"""The lists of memos, of their lines and of short-paid credits as sheets."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeVar

from inventory.models import CreditMemo, ShortCredit, SuspenseLine
from inventory.queries.memos.listing import MemoRow, counts_on
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.crates.words import SHORT_STATES, SUSPENSE_STATES

_MEMO: list[Column[CreditMemo]] = [
    Column("Memo", "text", lambda row: row.number),
    Column("Supplier", "text", lambda row: row.supplier.name),
    Column("Location", "text", lambda row: row.location.name),
    Column("Dated", "day", lambda row: row.dated_on),
    Column("Received", "day", lambda row: row.received_on),
    Column("Lines", "count", lambda row: counts_on(row).lines),
    Column("Not matched", "count", lambda row: counts_on(row).unmatched),
    Column("State", "text", lambda row: row.state_words),
    Column("Posted", "cents", lambda row: counts_on(row).posted_cents, is_summed=True),
    Column(
        "To post", "cents", lambda row: counts_on(row).to_post_cents, is_summed=True
    ),
    Column("Currency", "text", lambda row: row.currency),
]


Credit = TypeVar("Credit", ShortCredit, SuspenseLine)


def _by_state(states: Mapping[str, str], _of: type[Credit]) -> Iterator[Column[Credit]]:
    """Yield a column for each state: the credit's amount, 0 in any other state."""

    def reader(state: str) -> Callable[[Credit], int]:
        return lambda row: row.amount_cents if row.state == state else 0

    for state, label in states.items():
        yield Column(label, "cents", reader(state), is_summed=True)


_SHORT: list[Column[ShortCredit]] = [
    Column("Deposit", "text", lambda row: str(row.deposit)),
    Column("Cause", "text", lambda row: row.get_cause_display()),
    Column("State", "text", lambda row: row.get_state_display()),
    Column("Supplier", "text", lambda row: row.supplier.name),
    Column("Location", "text", lambda row: row.location.name),
    Column("Opened", "day", lambda row: row.opened_on),
    Column("Disputed", "day", lambda row: row.disputed_on),
    Column("Settled", "day", lambda row: row.settled_on),
    *_by_state(SHORT_STATES, ShortCredit),
    Column("Currency", "text", lambda row: row.currency),
    Column("Why", "text", lambda row: row.explanation),
]


_SUSPENSE: list[Column[SuspenseLine]] = [
    Column("Memo", "text", lambda row: row.memo_line.memo.number),
    Column("Line", "count", lambda row: row.memo_line.position),
    Column("On the memo", "text", lambda row: row.memo_line.mark),
    Column("State", "text", lambda row: row.get_state_display()),
    Column("Supplier", "text", lambda row: row.supplier.name),
    Column("Location", "text", lambda row: row.location.name),
    Column("Held since", "day", lambda row: row.opened_on),
    Column("Decided", "day", lambda row: row.settled_on),
    *_by_state(SUSPENSE_STATES, SuspenseLine),
    Column("Currency", "text", lambda row: row.currency),
    Column("Why", "text", lambda row: row.reason),
]

_MEMO_LINE: list[Column[MemoRow]] = [
    Column("Line", "count", lambda row: row.line.position),
    Column("Mark", "text", lambda row: row.line.mark),
    Column("Type", "text", lambda row: row.line.type_name),
    Column("On the memo", "cents", lambda row: row.line.amount_cents, is_summed=True),
    Column("For our crates", "cents", lambda row: row.paid_cents, is_summed=True),
    Column("Expected", "cents", lambda row: row.expected_cents, is_summed=True),
    Column("Difference", "cents", lambda row: row.difference, is_summed=True),
    Column("Held in suspense", "cents", lambda row: row.held_cents, is_summed=True),
    Column("Currency", "text", lambda row: row.line.memo.currency),
    Column("What it is", "text", lambda row: row.line.get_fate_display()),
    Column("Remark", "text", lambda row: row.line.remark),
]


def memos_sheet(rows: Iterable[CreditMemo]) -> Sheet:
    """Return the memos as a sheet; ``rows`` come with their sums."""
    return make_sheet("Credit memos", _MEMO, rows, currency_of=lambda row: row.currency)


def shorts_sheet(rows: Iterable[ShortCredit]) -> Sheet:
    """Return the short-paid credits as a sheet."""
    return make_sheet(
        "Short-paid credits", _SHORT, rows, currency_of=lambda row: row.currency
    )


def suspense_sheet(rows: Iterable[SuspenseLine]) -> Sheet:
    """Return the credits held in suspense as a sheet."""
    return make_sheet("Suspense", _SUSPENSE, rows, currency_of=lambda row: row.currency)


def memo_sheet(memo: CreditMemo, rows: Iterable[MemoRow]) -> Sheet:
    """Return the lines of one memo as a sheet."""
    return make_sheet(
        f"Memo {memo.number}", _MEMO_LINE, rows, currency_of=lambda _row: memo.currency
    )
