"""Saving the account numbers again without a change records nothing."""

import pytest
from django.test import TestCase

from inventory.actions.core.versions import StaleRowError
from inventory.actions.ledger.periods import number_account
from inventory.models import Event
from tests.ledger import AT, make_book

pytestmark = pytest.mark.database


class TestAccountNumbers(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()

    def number(self, number, version):
        return number_account(
            location=self.book.location,
            kind="return-freight",
            number=number,
            name="Return freight",
            version=version,
            person=self.book.who.abel,
            at=AT,
        )

    def test_the_same_number_again_changes_nothing_and_records_nothing(self):
        row = self.number("6100", None)
        again = self.number("6100", row.version)

        assert (again.pk, again.version) == (row.pk, row.version)
        assert Event.objects.filter(kind="account.numbered").count() == 1

    def test_another_number_is_recorded_and_a_stale_one_refused(self):
        row = self.number("6100", None)
        changed = self.number("6200", row.version)

        assert (changed.number, changed.version) == ("6200", row.version + 1)
        assert Event.objects.filter(kind="account.numbered").count() == 2
        for number in ("6200", "6300"):
            with pytest.raises(StaleRowError):
                self.number(number, row.version)
