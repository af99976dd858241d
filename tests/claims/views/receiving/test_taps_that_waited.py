"""A form that waited on a phone is dated by its tap, and its event by its arrival."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.test import TestCase
from django.urls import reverse

from claims.models import Finding, Inspection
from inventory.models import Event
from tests import making
from tests.people import cast

pytestmark = pytest.mark.database

NOW = datetime(2026, 3, 11, 5, 30, tzinfo=UTC)  # 00:30 at Riverside
TAPPED = NOW - timedelta(hours=2)  # 22:30 on the day before
WAITED = {
    "Dock-Phone": "1",
    "Phone-Clock": "2020-01-01T03:00:00Z",
    "Phone-Saved": "2020-01-01T01:00:00Z",
}
EXCEPTION = {
    "version": "1",
    "look": "exception",
    "where": ["side-1"],
    "kind": "punctured",
    "severity": "severe",
    "no_photo_reason": "too dark to see",
}


@time_machine.travel(NOW, tick=False)
class TestTapsThatWaited(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = making.make_delivery()
        cls.bill = making.make_shipment(carrier=cls.truck.carrier, pieces_billed=3)
        cls.hand = making.make_handover(cls.truck, cls.bill, pieces_counted=2)
        cls.crate = making.make_crate(cls.bill, delivery=cls.truck)
        cls.other = making.make_crate(cls.bill, delivery=cls.truck)

    def send(self, name, key, data, *, who="rosa", query="", headers=WAITED):
        self.client.force_login(getattr(self.who, who))
        page = reverse(name, args=key if isinstance(key, tuple) else (key,))
        answer = self.client.post(page + query, data, headers=headers)
        assert answer.status_code == 200, answer.context["form"].errors

    def sign(self, **more):
        self.client.force_login(self.who.rosa)
        page = reverse("sign_receipt", args=[self.truck.pk])
        form = self.client.get(page).context["form"]
        names = ("version", "read")
        self.send(
            "sign_receipt",
            self.truck.pk,
            {name: form[name].value() for name in names}
            | {
                "bills": [str(self.hand.pk)],
                "how_signed": "signed",
                "driver_signed_name": "Lou Parr",
                "words_stand_on": "both",
                "no_photo_reason": "driver would not wait",
            },
            **more,
        )

    def event(self, kind):
        event = Event.objects.get(kind=kind)
        assert event.recorded_at == NOW
        return event

    def assert_tapped(self, kind):
        assert self.event(kind).data["tapped_at"] == TAPPED.isoformat()

    def test_an_inspection_and_its_finding(self):
        self.send("look", self.crate.pk, EXCEPTION)

        row = Inspection.objects.get()
        assert (row.looked_at, row.looked_on) == (TAPPED, date(2026, 3, 10))
        assert Finding.objects.get().recorded_at == TAPPED
        self.assert_tapped("crate.looked")

    def test_no_visible_damage_on_the_others(self):
        making.make_evidence(delivery=self.truck, kind="load")
        self.send("clear_rest", self.truck.pk, {"count": "2"})

        rows = Inspection.objects.all()
        assert {row.looked_at for row in rows} == {TAPPED}
        self.assert_tapped("crates.cleared")

    def test_a_signature_and_the_shortage_it_settles(self):
        self.sign()

        self.hand.refresh_from_db()
        self.truck.refresh_from_db()
        assert (self.hand.signed_at, self.truck.signed_at) == (TAPPED, TAPPED)
        short = Finding.objects.get(damage_kind="short")
        assert (short.recorded_at, short.inspection.looked_at) == (TAPPED, TAPPED)
        self.assert_tapped("receipt.signed")
        self.assertContains(
            self.client.get(reverse("delivery", args=[self.truck.pk])),
            "Tapped Tue 10 Mar, 10:30 PM, sent later by the phone.",
        )

    def test_a_truck_closes_with_its_latest_tap(self):
        second = making.make_shipment(carrier=self.truck.carrier)
        late = making.make_handover(self.truck, second)
        later = TAPPED + timedelta(hours=1)
        type(late).objects.filter(pk=late.pk).update(
            how_signed="signed", signed_at=later, signed_by=self.who.rosa
        )
        self.sign()

        self.truck.refresh_from_db()
        assert self.truck.signed_at == later

    def test_what_did_not_wait_says_nothing_of_it(self):
        self.sign(headers={"Dock-Phone": "1"})

        self.hand.refresh_from_db()
        assert self.hand.signed_at == NOW
        assert "tapped_at" not in self.event("receipt.signed").data

    def test_at_the_bench(self):
        truck = making.make_signed_delivery()
        bill = making.make_shipment(pro_number="SIGNED-1")
        making.make_handover(truck, bill)
        crate = making.make_crate(bill, delivery=truck, look="clear")
        unit = making.make_unit(crate=crate)
        self.send("open_crate", crate.pk, {"version": "1"}, who="tomas")
        crate.refresh_from_db()
        assert (crate.opened_at, crate.opened_on) == (TAPPED, date(2026, 3, 10))
        self.assert_tapped("crate.opened")

        query = f"?unit={unit.pk}&stage=uncrating"
        found = {"crate_condition": "marked", "damage_kind": "cracked"}
        words = {"severity": "severe", "facts": "Cracked.", "cause": "transit"}
        form = {"parts-TOTAL_FORMS": "0", "parts-INITIAL_FORMS": "0"}
        self.send(
            "record_finding", bill.pk, found | words | form, who="tomas", query=query
        )
        assert Finding.objects.get().recorded_at == TAPPED
        assert Inspection.objects.get().looked_at == TAPPED
        for kind in ("finding.recorded", "inspection.recorded"):
            self.assert_tapped(kind)
