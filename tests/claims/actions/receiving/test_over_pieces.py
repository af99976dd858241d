"""A crate beyond the bill is held for the carrier and never enters stock."""

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse

from claims.actions.bench.opening import open_crate
from claims.queries.bench.desk import bench_desk
from inventory.actions.core.versions import RefusedError
from inventory.actions.receiving.crates import change_crate
from inventory.actions.receiving.listed_crates import list_crates
from inventory.actions.receiving.over_pieces import record_over_answer
from inventory.actions.receiving.units import list_unit
from inventory.models import Crate, Event
from inventory.queries.crates.yard import crates_in
from inventory.queries.deposits.listing import chargeable_crates
from tests.making import ARRIVED, make_crate, make_handover, make_signed_delivery
from tests.people import cast

pytestmark = pytest.mark.database


def _unopened(desk):
    return [*desk.today, *(row for _, rows in desk.later for row in rows)]


class TestOverPieces(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = make_signed_delivery(signed_by=cls.who.rosa)
        cls.bill = make_handover(cls.truck).shipment
        cls.owned = make_crate(cls.bill, delivery=cls.truck)
        (cls.crate,) = list_crates(
            person=cls.who.rosa,
            at=ARRIVED,
            shipment=cls.bill,
            delivery=cls.truck,
            count=1,
            kind="reusable",
            is_over=True,
        )

    def test_it_has_no_state_and_is_on_no_list_of_stock(self):
        assert (self.crate.kind, self.crate.state) == ("one-way", "")
        desk = bench_desk(self.who.tomas, ARRIVED.date())
        assert [row.crate for row in _unopened(desk)] == [self.owned]
        for which in ("here", "to-do", "ready", "one-way"):
            assert self.crate not in crates_in(self.who.mina, which)
        assert self.crate not in chargeable_crates([self.who.riverside])

    def test_it_is_not_opened_tracked_or_given_a_machine(self):
        with pytest.raises(RefusedError, match="not ours to open"):
            open_crate(person=self.who.tomas, at=ARRIVED, crate=self.crate)
        with pytest.raises(RefusedError, match="held for the carrier"):
            change_crate(
                person=self.who.rosa,
                at=ARRIVED,
                crate=self.crate,
                version=self.crate.version,
                mark="",
                kind="reusable",
                deposit_cents=None,
            )
        with pytest.raises(RefusedError, match="held for the carrier"):
            list_unit(
                person=self.who.rosa,
                at=ARRIVED,
                shipment=self.bill,
                model="TX",
                crate=self.crate,
            )

    def test_the_database_keeps_it_out_of_stock_too(self):
        for change in ({"kind": "reusable"}, {"opened_at": ARRIVED}):
            with pytest.raises(IntegrityError), transaction.atomic():
                Crate.objects.filter(pk=self.crate.pk).update(**change)

    def test_the_carriers_answer_is_an_event_and_the_crate_stays_as_it_is(self):
        record_over_answer(
            person=self.who.rosa,
            at=ARRIVED,
            crate=self.crate,
            answer="left",
            on=ARRIVED.date(),
            note="Letter 4411.",
        )

        event = Event.objects.get(kind="crate.over-answered")
        assert event.data["answer"] == "left with us, by the carrier's letter"
        assert Crate.objects.get(pk=self.crate.pk).version == self.crate.version

    def test_the_pages_say_that_it_is_over(self):
        self.client.force_login(self.who.rosa)
        for name, row in (
            ("tailgate", self.truck),
            ("crate", self.crate),
            ("shipment", self.bill),
            ("delivery", self.truck),
        ):
            page = self.client.get(reverse(name, args=[row.pk])).content.decode()
            assert "Over, held for carrier" in page, name

    def test_the_tick_lists_it_so(self):
        self.client.force_login(self.who.rosa)
        url = reverse("add_crates", args=[self.bill.pk])

        self.client.post(
            url,
            {
                "delivery": str(self.truck.pk),
                "count": "2",
                "kind": "reusable",
                "is_over": "on",
            },
        )

        assert Crate.objects.filter(is_over=True).count() == 3
        assert (
            "2 crates over on PRO"
            in self.client.get(
                reverse("shipment", args=[self.bill.pk])
            ).content.decode()
        )
