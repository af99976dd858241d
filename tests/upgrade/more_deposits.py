"""Deposits that end without a return, openings, matches and account numbers."""

import itertools
from decimal import Decimal

from fixtures.frames import DEPOSIT
from fixtures.steps import fresh
from inventory.actions.crates.identity import mark_crate
from inventory.actions.crates.life import scrap_crate
from inventory.actions.deposits.ending import (
    bring_in_opening,
    charge_deposits,
    forfeit_deposit,
    match_deposit,
    withdraw_deposit,
)
from inventory.actions.ledger.periods import number_account
from inventory.actions.ledger.rates import RateTold, enter_rate
from inventory.actions.ledger.reversals import reverse_alone
from inventory.models import Deposit
from inventory.rules.crates.words import ACCOUNTS
from tests.upgrade.more_trucks import frames

_key = itertools.count(1)


def tell_more_deposits(t):
    """Bring deposits to the ends that need no return, and number the accounts."""
    _ends_without_a_return(t)
    _openings_and_matches(t)
    _account_numbers(t)
    enter_rate(
        location=t.location,
        told=RateTold("CAD", Decimal("0.7315"), t.ago(9), "The central bank's list"),
        person=t.cast.people["abel"],
        at=t.moment(t.ago(8), 9),
    )


def _ends_without_a_return(t):
    """Forfeit, scrap and reinstate crates; take a charge back; give a GRAI."""
    crates = frames(t, 5, 36, 5)
    _forfeit(t, crates[0])
    reverse(t, _forfeit(t, crates[1]))
    scrap_crate(
        person=t.technician,
        at=t.moment(t.ago(12), 9),
        crate=fresh(crates[2]),
        reason="Run over.",
    )
    deposit = Deposit.objects.get(crate=crates[3])
    withdraw_deposit(
        deposit=deposit,
        version=deposit.version,
        reason="The supplier dropped the charge.",
        effective_on=t.ago(12),
        posting_key=f"deposits/{next(_key)}",
        person=t.cast.people["abel"],
        at=t.moment(t.ago(12), 9),
    )
    mark_crate(
        person=t.clerk,
        at=t.moment(t.ago(12), 9),
        crate=fresh(crates[4]),
        version=crates[4].version,
        mark=crates[4].mark,
        grai="006141411234522026",
        sscc="",
        supplier_code="OX-A-17",
    )


def _forfeit(t, crate):
    return forfeit_deposit(
        deposit=Deposit.objects.get(crate=crate),
        forfeited_on=t.ago(14),
        reason="It stays here as a bench.",
        posting_key=f"deposits/{next(_key)}",
        person=t.cast.people["abel"],
        at=t.moment(t.ago(14), 10),
    )


def _openings_and_matches(t):
    """Bring in deposits of the older books, and match a charge made without a crate."""
    crates = frames(t, 6, 30, 1)
    oxbow = t.cast.suppliers["oxbow"]
    common = {
        "location": t.location,
        "supplier": oxbow,
        "crate_type": t.cast.crate_types["oxbow"],
        "amount_cents": DEPOSIT,
        "person": t.cast.people["abel"],
        "line_number": 1,
    }
    bring_in_opening(
        **common,
        invoice_number="OLD-17",
        invoiced_on=t.ago(130),
        count=2,
        marks=[],
        opened_on=t.ago(120),
        posting_key=f"deposits/{next(_key)}",
        at=t.moment(t.ago(119), 9),
    )
    deposit = Deposit.objects.get(crate=crates[0])
    withdraw_deposit(
        deposit=deposit,
        version=deposit.version,
        reason="Charged on the wrong line.",
        effective_on=t.ago(15),
        posting_key=f"deposits/{next(_key)}",
        person=t.cast.people["abel"],
        at=t.moment(t.ago(15), 9),
    )
    (again,) = charge_deposits(
        **common,
        invoice_number="OXI-4999",
        invoiced_on=t.ago(15),
        count=1,
        marks=[],
        crates=[],
        posting_key=f"deposits/{next(_key)}",
        at=t.moment(t.ago(15), 10),
    )
    match_deposit(
        deposit=again,
        crate=crates[0],
        version=again.version,
        person=t.cast.people["abel"],
        at=t.moment(t.ago(15), 11),
    )


def _account_numbers(t):
    for number, (kind, name) in enumerate(ACCOUNTS.items(), start=1_450):
        number_account(
            location=t.location,
            kind=kind,
            number=str(number),
            name=name,
            version=None,
            person=t.cast.people["abel"],
            at=t.moment(t.ago(30), 9),
        )


def reverse(t, entry):
    reverse_alone(
        entry=entry,
        effective_on=t.ago(10),
        reason="Entered for the wrong truck.",
        posting_key=f"deposits/{next(_key)}",
        person=t.cast.people["abel"],
        at=t.moment(t.ago(10), 9),
    )
