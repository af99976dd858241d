"""The credit of one deposit on one day, read from its rows and calculated by the rules."""

import datetime as dt

from inventory.models import Deposit
from inventory.queries.deposits.facts import facts_of, terms_of, with_facts
from inventory.rules.deposits.credit import (
    Credit,
    DepositError,
    credit_by_day,
    credit_on,
)
from inventory.rules.deposits.shipping_credit import (
    Expected,
    expected_of,
    whole_deposit,
)


def expected_credit(
    deposit: Deposit, leaves_on: dt.date
) -> tuple[Expected, dt.date | None]:
    """Return the expected credit of a crate that leaves on a day, and its memo's day.

    Without terms, or where a day they need is not known, the whole deposit is
    expected, and the steps say why.
    """
    row = with_facts(Deposit.objects.filter(pk=deposit.pk)).get()
    terms = terms_of(row)
    if terms is None:
        return whole_deposit(row.amount_cents, row.currency), None
    try:
        credit: Credit = credit_on(terms, facts_of(row, leaves_on))
    except DepositError as error:
        words = f"{error} Until then the whole deposit is expected back."
        return whole_deposit(row.amount_cents, row.currency, words), None
    return expected_of(credit), credit.memo_due_on


def days_table(
    deposit: Deposit, left_on: dt.date, *, around: int = 5
) -> tuple[tuple[dt.date, int], ...]:
    """Return the credit in cents for leaving on each day around the one it left on.

    Empty where it cannot be calculated.
    """
    row = with_facts(Deposit.objects.filter(pk=deposit.pk)).get()
    terms = terms_of(row)
    if terms is None:
        return ()
    first = left_on - dt.timedelta(days=around)
    last = left_on + dt.timedelta(days=around)
    facts = facts_of(row, left_on)
    while first <= left_on:
        try:
            table = credit_by_day(terms, facts, first, last)
        except DepositError:
            first += dt.timedelta(days=1)
            continue
        return tuple(
            (first + dt.timedelta(days=place), money.cents)
            for place, money in enumerate(table)
        )
    return ()
