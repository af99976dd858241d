"""The journal with claims in it: beancount reads the whole export and finds it even."""

import pytest
from django.test import TestCase

from claims.actions.claim import endings
from claims.actions.claim.answers import Denial, record_disallowance
from inventory.queries.ledger.journal import Period
from inventory.rules.crates.words import ACCOUNT_CLASSES, ACCOUNTS
from inventory.rules.deposits.plain_books import account_path
from tests.claims.booking import filed_claim, pay, reopen
from tests.claims.stage import TODAY, step
from tests.inventory.queries.ledger.books import book
from tests.inventory.queries.ledger.test_journal import (
    as_beancount,
    expect_as_in_the_ledger,
)
from tests.people import cast

pytestmark = pytest.mark.database


class JournalTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        book(cls.people)
        for basis in ("register", "filing"):
            claim = filed_claim(cls.people, basis=basis)
            pay(cls.people, claim, 70_000, reason="Interest.")
            other = filed_claim(cls.people, basis="")
            denial = Denial(cents=100)
            record_disallowance(
                claim=other, step=step(cls.people, other), denial=denial
            )
            endings.give_up(claim=other, step=step(cls.people, other))
            reopen(cls.people, other)

    def test_beancount_reads_the_whole_export_claims_included(self):
        days = (TODAY.replace(month=1), TODAY.replace(month=12))
        places = [self.people.riverside]
        text = as_beancount(Period(places, *days))
        found = expect_as_in_the_ledger(text, places, *days)

        assert {
            "Assets:Deposits-receivable",
            "Assets:Claims-receivable",
            "Equity:Claims-beside-the-books",
        } <= {account for account, _ in found}

    def test_every_class_is_a_root_that_it_knows(self):
        roots = {"Assets", "Liabilities", "Equity", "Income", "Expenses"}
        assert set(ACCOUNT_CLASSES.values()) <= roots

    def test_no_two_accounts_take_the_same_name(self):
        paths = [
            account_path(ACCOUNT_CLASSES[kind], ACCOUNTS[kind]) for kind in ACCOUNTS
        ]
        assert len(set(paths)) == len(paths)
