"""The lists of memos, of their lines and of short-paid credits as sheets."""

from collections.abc import Iterable

from inventory.models import CreditMemo, ShortCredit
from inventory.queries.memos.listing import MemoRow, counts_on
from inventory.rules.core.sheets import Column, Sheet, make_sheet

_MEMO: list[Column[CreditMemo]] = [
    Column("Memo", "text", lambda row: row.number),
    Column("Supplier", "text", lambda row: row.supplier.name),
    Column("Location", "text", lambda row: row.location.name),
    Column("Dated", "day", lambda row: row.dated_on),
    Column("Received", "day", lambda row: row.received_on),
    Column("Lines", "count", lambda row: counts_on(row).lines),
    Column("Not matched", "count", lambda row: counts_on(row).unmatched),
    Column("Posted", "text", lambda row: "yes" if row.is_posted else "no"),
    Column("Amount", "cents", lambda row: counts_on(row).total_cents, is_summed=True),
    Column("Currency", "text", lambda row: row.currency),
]

_SHORT: list[Column[ShortCredit]] = [
    Column("Deposit", "text", lambda row: str(row.deposit)),
    Column("Cause", "text", lambda row: row.get_cause_display()),
    Column("State", "text", lambda row: row.get_state_display()),
    Column("Supplier", "text", lambda row: row.supplier.name),
    Column("Location", "text", lambda row: row.location.name),
    Column("Opened", "day", lambda row: row.opened_on),
    Column("Disputed", "day", lambda row: row.disputed_on),
    Column("Settled", "day", lambda row: row.settled_on),
    Column("Amount", "cents", lambda row: row.amount_cents, is_summed=True),
    Column("Currency", "text", lambda row: row.currency),
    Column("Why", "text", lambda row: row.explanation),
]

_MEMO_LINE: list[Column[MemoRow]] = [
    Column("Line", "count", lambda row: row.line.position),
    Column("Mark", "text", lambda row: row.line.mark),
    Column("Type", "text", lambda row: row.line.type_name),
    Column("Credited", "cents", lambda row: row.line.amount_cents, is_summed=True),
    Column("Expected", "cents", lambda row: row.line.expected_cents, is_summed=True),
    Column("Difference", "cents", lambda row: row.difference, is_summed=True),
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


def memo_sheet(memo: CreditMemo, rows: Iterable[MemoRow]) -> Sheet:
    """Return the lines of one memo as a sheet."""
    return make_sheet(
        f"Memo {memo.number}", _MEMO_LINE, rows, currency_of=lambda _row: memo.currency
    )
