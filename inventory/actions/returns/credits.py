"""What the supplier is expected to credit for each crate that was shipped back."""

from datetime import date, datetime

from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.posting import post_entry
from inventory.actions.returns.deposits import left_on
from inventory.models import CrateReturn, Deposit, ReturnLine, User
from inventory.queries.deposits.credits import expected_credit
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from inventory.rules.deposits.shipping_credit import Expected


def reckoned_credit(deposit: Deposit, row: CrateReturn) -> tuple[Expected, date | None]:
    """Return the credit of the deposit for this return; zero where none is open."""
    open_cents = deposit_balance(deposit, postings.RECEIVABLE)
    credit, due = expected_credit(deposit, left_on(row))
    if open_cents == credit.whole:
        return credit, due
    if not open_cents:
        words = "Nothing is open on this deposit, so no credit is expected."
        return Expected(0, 0, 0, 0, deposit.currency, (words,)), None
    raise RefusedError(
        f"{deposit}: its balance is not the whole deposit. Nothing was saved. Check "
        "the deposit's history first."
    )


def post_expected(
    line: ReturnLine,
    deposit: Deposit,
    credit: Expected,
    *,
    person: User,
    at: datetime,
    again: str = "",
) -> None:
    """Post what is expected of one line and freeze it there, with its steps.

    ``again`` ends the posting key where it replaces an earlier one.
    """
    row = line.crate_return
    entry = None
    if credit.whole:
        entry = post_entry(
            kind="credit-expected",
            location=row.location,
            supplier=row.supplier,
            currency=deposit.currency,
            effective_on=open_day(row.location, left_on(row)),
            lines=credit.lines(deposit.pk),
            posting_key=f"return-line:{line.pk}{again}",
            person=person,
            at=at,
            note=str(row),
            subjects=[row],
        )
    change_row(
        line,
        version=line.version,
        expected_cents=credit.expected,
        late_cents=credit.late,
        parts_cents=credit.parts,
        hold_cents=credit.hold,
        steps=list(credit.steps),
        expected_entry=entry,
    )
