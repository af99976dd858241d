"""The lists of deposits and of the suppliers' statements as sheets."""

from collections.abc import Iterable

from inventory.queries.deposits.lapsing import Lapsing
from inventory.queries.ledger.balances import sums_on
from inventory.queries.memos.statement_reasons import Stated
from inventory.rules.core.sheets import Column, Sheet, make_sheet

_LAPSING: list[Column[Lapsing]] = [
    Column("Crate", "text", lambda row: str(row.deposit.crate or row.deposit.mark)),
    Column("Supplier", "text", lambda row: row.deposit.supplier.name),
    Column("Location", "text", lambda row: row.deposit.location.name),
    Column("Invoice", "text", lambda row: row.deposit.invoice_number),
    Column("Invoiced on", "day", lambda row: row.deposit.invoiced_on),
    Column("Last day for full credit", "day", lambda row: row.days.last_full_on),
    Column("Days left", "count", lambda row: row.days.days_left),
    Column("On hold", "text", lambda row: "yes" if row.is_held else ""),
    Column(
        "Deposit",
        "cents",
        lambda row: sums_on(row.deposit).receivable,
        is_summed=True,
    ),
    Column(
        "If shipped today", "cents", lambda row: row.days.credit_cents, is_summed=True
    ),
    Column("One day later costs", "cents", lambda row: row.days.loss_cents),
    Column("Currency", "text", lambda row: row.deposit.currency),
    Column("Remark", "text", lambda row: row.days.problem),
]

_STATED: list[Column[Stated]] = [
    Column("Supplier", "text", lambda row: row.assertion.supplier.name),
    Column("Location", "text", lambda row: row.assertion.location.name),
    Column("At", "day", lambda row: row.assertion.as_of),
    Column(
        "On the statement", "cents", lambda row: row.comparison.stated, is_summed=True
    ),
    Column("In our books", "cents", lambda row: row.comparison.ours, is_summed=True),
    Column(
        "Difference", "cents", lambda row: row.comparison.difference, is_summed=True
    ),
    Column("Currency", "text", lambda row: row.assertion.currency),
]


def lapsing_sheet(rows: Iterable[Lapsing]) -> Sheet:
    """Return the deposits on crates here as a sheet."""
    return make_sheet(
        "Deposits here", _LAPSING, rows, currency_of=lambda row: row.deposit.currency
    )


def stated_sheet(rows: Iterable[Stated]) -> Sheet:
    """Return the suppliers' statements with our figures as a sheet."""
    return make_sheet(
        "Statements", _STATED, rows, currency_of=lambda row: row.assertion.currency
    )
