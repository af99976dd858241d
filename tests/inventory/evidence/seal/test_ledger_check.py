"""A verification finds a ledger that is out of balance, whatever the images say."""

import pytest
from django.db import connection
from django.test import TestCase

from inventory.evidence.seal.ledger_check import entry_faults
from inventory.evidence.seal.snapshots import snapshot
from inventory.models import Entry, Leg
from inventory.triggers import drop_triggers, make_triggers
from tests.ledger import charge, make_book

pytestmark = pytest.mark.database


class TestBalance(TestCase):
    def setUp(self):
        charge(make_book())
        self.entry = Entry.objects.get()

    def faults(self):
        with snapshot() as moment:
            return list(entry_faults(moment))

    def unguarded(self, change):
        drop_triggers(connection)
        change()
        make_triggers(connection)

    def test_a_ledger_in_balance_has_no_fault(self):
        assert self.faults() == []

    def test_a_changed_leg_is_found(self):
        legs = Leg.objects.filter(cents__gt=0)
        self.unguarded(lambda: legs.update(cents=12_001))

        (fault,) = self.faults()

        assert "2 legs that sum to 1 cents" in fault

    def test_a_lost_leg_is_found(self):
        legs = Leg.objects.filter(cents__gt=0)
        self.unguarded(lambda: legs._raw_delete(legs.db))

        (fault,) = self.faults()

        assert "1 legs that sum to -12000 cents" in fault
