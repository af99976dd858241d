"""Single entries that are reversed alone: a forfeiture, and return freight."""

from unittest.mock import patch

import pytest
from django.db import IntegrityError
from django.test import TestCase

from inventory.actions.core.versions import RefusedError
from inventory.actions.deposits.ending import forfeit_deposit
from inventory.actions.ledger import locks, posting
from inventory.actions.ledger.periods import Numbered, lock_period, number_accounts
from inventory.actions.ledger.posting import ChangedPostingError
from inventory.actions.ledger.reversals import reverse_alone
from inventory.models import Entry, Event
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from tests.ledger import AT, DAY, charge, charged_crate, make_book, post

pytestmark = pytest.mark.database


class Case(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()
        cls.crate, cls.deposit = charged_crate(cls.book)

    def forfeit(self, deposit=None):
        return forfeit_deposit(
            deposit=deposit or self.deposit,
            forfeited_on=DAY,
            reason="Burnt",
            posting_key="forfeit",
            person=self.book.who.abel,
            at=AT,
        )

    def reverse(self, entry, key="back", **over):
        values = {
            "entry": entry,
            "effective_on": DAY,
            "reason": "It was another crate",
            "posting_key": key,
            "person": self.book.who.abel,
            "at": AT,
        }
        return reverse_alone(**{**values, **over})

    def state(self):
        self.crate.refresh_from_db()
        return self.crate.state


class TestReversingAlone(Case):
    def test_a_forfeited_crate_is_put_back_with_its_deposit(self):
        was = self.state()
        entry = self.forfeit()
        assert (self.state(), deposit_balance(self.deposit)) == ("forfeited", 0)

        self.reverse(entry)

        assert (self.state(), deposit_balance(self.deposit)) == (was, 12_000)
        history = Event.objects.filter(kind="crate.reinstated")
        assert [event.data["reason"] for event in history] == ["It was another crate"]

    def test_the_same_key_again_is_the_same_reversal(self):
        entry = self.forfeit()
        undoing = self.reverse(entry)

        assert self.reverse(entry) == undoing
        with pytest.raises(RefusedError, match="already reversed"):
            self.reverse(entry, key="other")

    def test_a_crate_scrapped_since_stays_scrapped(self):
        entry = self.forfeit()
        type(self.crate).objects.filter(pk=self.crate.pk).update(state="scrapped")

        self.reverse(entry)

        assert (self.state(), deposit_balance(self.deposit)) == ("scrapped", 12_000)

    def test_a_deposit_without_a_crate_is_put_back_alone(self):
        bare = charge(self.book)

        self.reverse(self.forfeit(bare))

        assert deposit_balance(bare) == 12_000

    def test_return_freight_is_reversed_too(self):
        entry = post(self.book, "return-freight", postings.freight_billed(4_500))

        undoing = self.reverse(entry)

        assert posting.lines_of(undoing) == postings.undone(
            postings.freight_billed(4500)
        )

    def test_what_hangs_on_another_record_is_refused_with_the_way(self):
        with pytest.raises(RefusedError, match="on the page of its deposit"):
            self.reverse(Entry.objects.get(kind="charge"))
        shipped = post(
            self.book,
            "credit-expected",
            postings.credit_expected(self.deposit.pk, expected=12_000),
        )
        with pytest.raises(RefusedError, match="depends on this entry"):
            self.reverse(shipped)
        undoing = self.reverse(
            post(self.book, "return-freight", postings.freight_billed(4_500))
        )
        with pytest.raises(RefusedError, match="A reversal cannot be reversed"):
            self.reverse(undoing, key="again")


class TestOneKeyOnePosting(Case):
    def test_the_key_of_one_reversal_is_none_for_the_twin_of_its_entry(self):
        twins = [
            post(self.book, "return-freight", postings.freight_billed(4_500))
            for _ in range(4)
        ]
        self.reverse(twins[0])
        with pytest.raises(ChangedPostingError, match="was already posted, with other"):
            self.reverse(twins[1])

        lines = postings.undone(postings.freight_billed(4_500))
        post(self.book, "reversal", lines, reverses=twins[2], posting_key="plain")
        with pytest.raises(ChangedPostingError):
            post(self.book, "reversal", lines, reverses=twins[3], posting_key="plain")

    def test_a_key_taken_by_another_book_meanwhile_is_refused_plainly(self):
        post(self.book, "return-freight", postings.freight_billed(1), posting_key="k")
        with (
            patch.object(posting, "find_posted", return_value=None),
            pytest.raises(ChangedPostingError),
        ):
            post(
                self.book, "return-freight", postings.freight_billed(2), posting_key="k"
            )

    def test_another_refusal_of_the_database_is_not_called_a_changed_posting(self):
        with (
            patch.object(Entry, "save", side_effect=IntegrityError("no such book")),
            pytest.raises(IntegrityError, match="no such book"),
        ):
            post(self.book, "return-freight", postings.freight_billed(2))


class TestWhoWaitsForWhom(Case):
    """PostgreSQL's advisory locks, as they are asked for; SQLite has one writer."""

    def asked(self, act):
        with patch.object(locks, "_advise") as advised:
            act()
        return [call.args[:2] for call in advised.call_args_list]

    def test_a_posting_holds_its_book_and_keeps_the_period_open(self):
        asked = self.asked(
            lambda: post(self.book, "return-freight", postings.freight_billed(1))
        )
        assert asked == [
            ("pg_advisory_xact_lock_shared", locks.PERIOD_LOCK),
            ("pg_advisory_xact_lock", locks.BOOK_LOCK),
        ]

    def test_a_deposit_is_read_under_the_lock_of_its_book(self):
        asked = self.asked(lambda: locks.lock_deposit(self.deposit))
        assert asked[-1] == ("pg_advisory_xact_lock", locks.BOOK_LOCK)

    def test_locking_a_period_waits_for_every_posting(self):
        place, person = self.book.location, self.book.who.abel
        day = DAY.replace(day=1)
        asked = self.asked(
            lambda: lock_period(location=place, through=day, person=person, at=AT)
        )
        assert asked == [("pg_advisory_xact_lock", locks.PERIOD_LOCK)]
        event = Event.objects.get(kind="period.locked")
        assert (event.data["through"], event.actor) == ("2026-03-01", person)

    def test_a_period_is_locked_in_a_transaction_only(self):
        # Django's own test transaction is one, so step outside its bookkeeping.
        connection = locks.connection
        connection.in_atomic_block = False
        try:
            with pytest.raises(locks.transaction.TransactionManagementError):
                locks.lock_periods(self.book.location)
        finally:
            connection.in_atomic_block = True


class TestSeveralNumbers(Case):
    def test_it_is_said_how_many_changed(self):
        def save(*numbers):
            given = [
                Numbered(kind, number, "", version) for kind, number, version in numbers
            ]
            return number_accounts(
                location=self.book.location,
                given=given,
                person=self.book.who.abel,
                at=AT,
            )

        freight, supplier = "return-freight", "supplier-account"
        assert save((freight, "6100", None), (supplier, "2150", None)) == 2
        assert save((freight, "6100", 1), (supplier, "2150", 1)) == 0
        assert save((freight, "6100", 1), (supplier, "2160", 1)) == 1
