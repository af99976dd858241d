"""The pages that take back a mistake, and those of what was taken back."""

from unittest import mock

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.actions.receiving.shipments import BillAtDock, add_bill
from inventory.models import Crate, Delivery, Handover, Shipment
from inventory.views.receiving import lines
from tests.making import (
    ARRIVED,
    make_carrier,
    make_delivery,
    make_evidence,
    make_supplier,
    make_unit,
)
from tests.people import cast

pytestmark = pytest.mark.database

REASON = {"version": "1", "reason": "Typed twice."}


class WithdrawalPages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = make_delivery(carrier=make_carrier(name="Gannet Overland"))
        cls.handover = add_bill(
            person=cls.who.rosa,
            at=ARRIVED,
            delivery=cls.truck,
            bill=BillAtDock("PW-1", 2, "crate", 2, crates=2, supplier=make_supplier()),
        )
        cls.bill = cls.handover.shipment
        cls.crate = cls.bill.crates.first()
        cls.unit = make_unit(cls.bill)

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def page(self, name, row):
        return reverse(name, args=[row.pk])

    def test_the_page_says_what_goes_with_a_truck(self):
        answer = self.client.get(self.page("withdraw_delivery", self.truck))

        text = answer.content.decode()
        assert "This takes back 1 freight bill, 2 crates and 1 machine." in text
        assert "photos stay on file" in text

    def test_the_trucks_own_pages_lead_there_until_it_is_closed(self):
        mistake = self.page("withdraw_delivery", self.truck)
        for name in ("tailgate", "delivery"):
            self.assertContains(self.client.get(self.page(name, self.truck)), mistake)
        at_dock = self.client.get(self.page("tailgate", self.truck))
        self.assertContains(at_dock, self.page("withdraw_bill", self.handover))

        Delivery.objects.update(
            how_signed="signed", signed_at=ARRIVED, signed_by=self.who.rosa
        )

        for name in ("tailgate", "delivery"):
            page = self.client.get(self.page(name, self.truck))
            self.assertNotContains(page, mistake)

    def test_a_reason_is_needed_and_what_is_taken_back_is_shown_so(self):
        make_evidence(delivery=self.truck, caption="The wrong load")
        url = self.page("withdraw_delivery", self.truck)
        bare = self.client.post(url, {"version": "1", "reason": ""})
        assert bare.status_code == 422
        assert Delivery.objects.exists()

        self.client.post(url, REASON)

        for name, row in (
            ("delivery", self.truck),
            ("shipment", self.bill),
            ("crate", self.crate),
            ("unit", self.unit),
        ):
            page = self.client.get(self.page(name, row))
            text = page.content.decode()
            assert page.status_code == 200
            assert "Taken back" in text
            assert "by Rosa Field. Reason: Typed twice." in text
            assert '<form method="post"' not in text.split("<main")[1]
        assert (
            "The wrong load"
            in self.client.get(self.page("delivery", self.truck)).content.decode()
        )

    def test_nothing_taken_back_is_listed_or_found_or_may_be_changed(self):
        self.client.post(self.page("withdraw_delivery", self.truck), REASON)
        self.client.get(reverse("cautions"))  # shows the message of the act

        for name in ("dock", "deliveries", "bench", "crates"):
            assert (
                "Gannet Overland" not in self.client.get(reverse(name)).content.decode()
            )
        found = self.client.get(reverse("search"), {"q": "PW-1"})
        assert "Nothing found" in found.content.decode()
        for name, row in (
            ("tailgate", self.truck),
            ("add_bill", self.truck),
            ("sign_receipt", self.truck),
            ("edit_handover", self.handover),
            ("edit_crate", self.crate),
            ("look", self.crate),
            ("edit_unit", self.unit),
            ("add_unit", self.bill),
        ):
            assert self.client.get(self.page(name, row)).status_code == 404, name

    def test_a_second_sending_says_that_it_is_done_already(self):
        url = self.page("withdraw_bill", self.handover)
        first = self.client.post(url, REASON)
        second = self.client.post(url, REASON, follow=True)

        assert first.status_code == 302
        assert "taken back already" in second.content.decode()
        assert Handover.everything.get().version == 2

    def test_a_closed_record_offers_a_note(self):
        Delivery.objects.update(
            how_signed="signed", signed_at=ARRIVED, signed_by=self.who.rosa
        )

        for name, row in (
            ("withdraw_delivery", self.truck),
            ("withdraw_bill", self.handover),
            ("withdraw_crate", self.crate),
        ):
            answer = self.client.get(self.page(name, row))
            text = answer.content.decode()
            assert "Not now." in text
            assert self.page("note_receipt", self.truck) in text
            refused = self.client.post(self.page(name, row), REASON)
            assert refused.status_code == 422
        assert Crate.objects.count() == 2

    def test_a_bill_closed_by_its_own_answer_offers_the_note_too(self):
        Handover.objects.update(
            how_signed="refused", signed_at=ARRIVED, signed_by=self.who.rosa
        )
        answer = self.client.get(self.page("withdraw_delivery", self.truck))
        self.assertContains(answer, self.page("note_receipt", self.truck))

    def test_an_act_on_a_row_that_was_taken_back_meanwhile_keeps_what_was_typed(self):
        url = reverse("add_unit", args=[self.bill.pk])
        data = {"model": "TX 48", "serial": "LATE-1", "weight_unit": "lb"}

        with self.gone_after_the_page_was_opened():
            answer = self.client.post(url, data)

        assert answer.status_code == 422
        text = answer.content.decode()
        assert "This was taken back after you opened the page." in text
        assert "LATE-1" in text

    def gone_after_the_page_was_opened(self):
        def too_late(**about):
            return Shipment.objects.get(pk=0)

        return mock.patch.object(lines, "list_unit", too_late)
