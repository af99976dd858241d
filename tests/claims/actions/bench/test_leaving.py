"""Machines that leave: the gate, the manager's reason, and the way back."""

import pytest
from django.test import TestCase

from claims.actions.bench.leaving import leave, take_back
from claims.models import Departure, SignOff
from claims.queries.bench.departures import departure_of
from claims.rules.bench.leaving import RECHECKS
from inventory.actions.core.versions import RefusedError
from inventory.models import Event
from tests import making
from tests.claims.actions.bench.test_bench_acts import AT
from tests.people import cast

pytestmark = pytest.mark.database


class Leaving(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        bill = making.make_shipment(location=cls.people.riverside)
        cls.unit = making.make_unit(bill)

    def sell(self, who="rosa", **over):
        told = {"way": "sold", "to": "Lou Parr", "left_on": AT.date(), **over}
        return leave(person=vars(self.people)[who], at=AT, unit=self.unit, **told)

    def test_one_that_is_not_signed_off_does_not_leave(self):
        for way in ("sold", "transferred", "returned"):
            with self.assertRaisesMessage(RefusedError, "is not released"):
                self.sell(way=way)
        assert not Departure.objects.exists()

    def test_a_technicians_reason_is_none(self):
        with self.assertRaisesMessage(RefusedError, "is not released"):
            self.sell("tomas", reason="The customer waits.")
        assert not SignOff.objects.exists()

    def test_the_managers_reason_releases_it_and_stays(self):
        row = self.sell("mina", reason="It goes to the training shop.")
        assert row.release == "manager"
        assert SignOff.objects.get().reason == "It goes to the training shop."
        kinds = Event.objects.order_by("-pk").values_list("kind", flat=True)[:2]
        assert set(kinds) == {"machine.left", "setup.released"}

    def test_signed_off_it_leaves_once(self):
        making.make_sign_off(self.unit, signed_on=AT.date())
        assert self.sell().release == "complete"
        with self.assertRaisesMessage(RefusedError, "has left already"):
            self.sell()
        assert departure_of(self.unit).to == "Lou Parr"

    def test_on_hold_not_even_a_managers_reason_lets_it_leave(self):
        making.make_hold(self.unit)
        with self.assertRaisesMessage(RefusedError, "on hold"):
            self.sell("mina", reason="The customer waits.")
        assert not SignOff.objects.exists()

    def test_it_comes_back_with_what_happened_and_may_leave_again(self):
        making.make_sign_off(self.unit, signed_on=AT.date())
        with self.assertRaisesMessage(RefusedError, "is here"):
            take_back(person=self.people.rosa, at=AT, unit=self.unit, reason="Oops.")
        self.sell()
        take_back(person=self.people.rosa, at=AT, unit=self.unit, reason="Wrong one.")
        assert departure_of(self.unit) is None
        self.sell(to="Ada Parr")
        assert Departure.objects.count() == 3

    def test_one_set_up_before_sign_off_existed_is_checked_again_and_leaves(self):
        making.make_inspection(unit=self.unit, stage="set-up", note="All right.")
        with self.assertRaisesMessage(RefusedError, "check it again first"):
            self.sell()
        assert self.sell(checks=dict.fromkeys(RECHECKS, "right")).release == "before"
