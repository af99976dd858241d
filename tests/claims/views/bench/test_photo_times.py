"""One photo has one time, on the clock of its dock, on every page and paper."""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.test import TestCase
from django.urls import reverse

from claims.queries.letters.notices import letter_of
from claims.queries.packet.text import letter_moment
from inventory.models import CrateCheck
from inventory.queries.memos.dispute_letters import _check
from tests import making
from tests.people import cast
from tests.returning import make_stage

pytestmark = pytest.mark.database

EVENING = datetime(2026, 3, 11, 3, 31, tzinfo=UTC)
"""The evening of the 10th at Riverside, where it is 22:31."""

SHOWN = "Tue 10 Mar, 10:31 PM"


@time_machine.travel(datetime(2026, 3, 12, 15, 0, tzinfo=UTC), tick=False)
class TestOnePhoto(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.shipment = making.make_shipment(location=cls.who.riverside)
        cls.truck = making.make_signed_delivery(location=cls.who.riverside)
        making.make_handover(cls.truck, cls.shipment)
        cls.crate = making.make_crate(
            cls.shipment,
            delivery=cls.truck,
            look="clear",
            opened_at=making.ARRIVED,
            opened_on=date(2026, 3, 10),
        )
        cls.unit = making.make_unit(crate=cls.crate)
        cls.finding = making.make_finding(crate=cls.crate, unit=cls.unit)
        cls.photo = making.attach_photo(
            cls.finding,
            delivery=cls.truck,
            unit=cls.unit,
            received_at=EVENING,
            width=800,
            height=600,
        )
        cls.loose = making.make_evidence(
            shipment=cls.shipment, unit=cls.unit, received_at=EVENING
        )

    def setUp(self):
        self.client.force_login(self.who.mina)

    def test_every_page_that_shows_it_gives_the_same_time(self):
        pages = {
            "shipment": self.shipment.pk,
            "delivery": self.truck.pk,
            "crate": self.crate.pk,
            "unit": self.unit.pk,
            "finding": self.finding.pk,
            "evidence": self.loose.pk,
        }
        for name, pk in pages.items():
            with self.subTest(page=name):
                page = self.client.get(reverse(name, args=[pk]))
                self.assertContains(page, SHOWN)
                self.assertNotContains(page, "03:31")
                self.assertNotContains(page, "UTC")

    def test_so_does_the_form_that_offers_it(self):
        self.client.force_login(self.who.tomas)
        page = self.client.get(reverse("edit_finding", args=[self.finding.pk]))
        self.assertContains(page, SHOWN)
        self.assertNotContains(page, "UTC")

    def test_a_claim_file_says_it_as_letters_do(self):
        words = letter_moment(self.loose.received_at, self.who.riverside)
        assert words == "March 10, 2026, 10:31 PM"

    def test_a_notice_written_in_the_evening_is_dated_that_day(self):
        notice = making.make_notice(
            self.shipment, delivery=self.truck, written_at=EVENING, sent_on=None
        )
        assert letter_of(notice).date == "March 10, 2026"


class TestOneCheck(TestCase):
    def test_a_dispute_letter_dates_our_check_by_the_dock(self):
        book = make_stage(crates=1)
        crate = book.crates[0]
        CrateCheck.objects.create(
            crate=crate,
            result="complete",
            checked_at=EVENING,
            checked_by=book.who.tomas,
        )
        short = book.deposits[0].short_credits.model(
            deposit=book.deposits[0], currency="USD"
        )
        (section,) = _check(short)
        assert "Checked on Tue 10 Mar 2026 against" in str(section)
