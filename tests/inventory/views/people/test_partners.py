"""Carriers and suppliers, with the periods they hold us to."""

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.models import Carrier, Event, Supplier
from inventory.rules.core.roles import ACCOUNTING, ACTS, ADMINISTRATOR, MANAGER
from tests.making import make_carrier, make_supplier
from tests.people import cast

pytestmark = pytest.mark.database

CARRIER = {
    "name": "Gannet Overland",
    "mode": "motor",
    "scac": "GNOV",
    "claims_address": "PO Box 9",
    "claims_email": "claims@gannet.example",
    "mail_days": "5",
    "concealed-notice_count": "2",
    "concealed-notice_unit": "business-days",
    "concealed-notice_starts": "delivery",
    "concealed-notice_source": "Its tariff 100, item 7",
}


class TestCarriers(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        self.client.force_login(self.who.mina)

    def add(self, **over):
        return self.client.post(reverse("add_carrier"), CARRIER | over)

    def test_a_carrier_is_kept_with_its_periods_and_an_event(self):
        self.add()

        carrier = Carrier.objects.get()
        assert (
            str(carrier.terms.get())
            == "Gannet Overland: concealed-notice 2 business-days"
        )
        assert Event.objects.get().kind == "carrier.added"

    def test_its_page_says_who_changed_it_and_who_may(self):
        self.add()
        url = reverse("edit_carrier", args=[Carrier.objects.get().pk])
        self.client.force_login(self.who.ada)
        self.client.post(url, CARRIER | {"version": "1", "mail_days": "4"})

        page = self.client.get(url)

        told = [(item.kind, item.who) for item in page.context["changes"]]
        assert told == [
            ("carrier.changed", str(self.who.ada)),
            ("carrier.added", str(self.who.mina)),
        ]
        self.assertContains(page, "Every location uses this. Managers and admin")
        assert ACTS["keep-partners"] == {MANAGER, ADMINISTRATOR}
        assert ACTS["keep-terms"] == {MANAGER, ACCOUNTING, ADMINISTRATOR}

    def test_a_name_twice_is_refused_and_the_typed_text_stays(self):
        self.add()
        answer = self.add(claims_address="Dock 12, somewhere else")

        self.assertContains(answer, "That name is already in use", status_code=422)
        self.assertContains(answer, "Dock 12, somewhere else", status_code=422)

    def test_half_a_period_asks_for_the_rest(self):
        answer = self.add(**{"concealed-notice_starts": ""})

        self.assertContains(answer, "Fill this in too", status_code=422)

    def test_bad_input_gets_a_sentence(self):
        bad = {
            "name": ("", "x" * 5_000, "\0"),
            "scac": ("gn", "TOOLONG", "G1"),
            "claims_email": ("no address", "a@b.example\nBcc: c@d.example"),
            "mail_days": ("-1", "1.5", "NaN", "99999999999999999999", "\uff11\uff12"),
            "concealed-notice_count": ("0", "-5", "1000000"),
            "mode": ("teleport",),
        }
        for field, values in bad.items():
            for value in values:
                with self.subTest(field=field, value=value[:20]):
                    answer = self.add(**{field: value})
                    self.assertContains(answer, "There is a problem", status_code=422)
        assert Carrier.objects.count() == 0

    def test_a_stale_form_is_told_and_keeps_its_text(self):
        carrier = make_carrier(name="Gannet Overland")
        url = reverse("edit_carrier", args=[carrier.pk])
        self.client.post(url, CARRIER | {"version": "1", "claims_phone": "555 0100"})
        answer = self.client.post(
            url, CARRIER | {"version": "1", "claims_phone": "555 0199"}
        )

        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )
        self.assertContains(answer, "555 0199", status_code=422)

    def test_the_list_takes_as_many_queries_with_one_row_as_with_twenty(self):
        make_carrier()
        with_one = self.queries_of_the_list()
        for _ in range(19):
            make_carrier()

        assert self.queries_of_the_list() == with_one

    def queries_of_the_list(self):
        with CaptureQueriesContext(connection) as queries:
            assert self.client.get(reverse("carriers")).status_code == 200
        return len(queries)

    def test_others_are_turned_away(self):
        for person in (self.who.rosa, self.who.tomas, self.who.abel):
            self.client.force_login(person)
            assert self.client.get(reverse("carriers")).status_code == 403
        self.client.logout()
        assert self.client.get(reverse("carriers")).status_code == 302


class TestSuppliers(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        self.client.force_login(self.who.mina)

    def test_a_supplier_is_changed_with_its_periods(self):
        supplier = make_supplier()
        self.client.post(
            reverse("edit_supplier", args=[supplier.pk]),
            {
                "version": "1",
                "name": "Cinderbrook Mowers",
                "standing_order": "refuse",
                "damage_count": "3",
                "damage_unit": "days",
                "damage_starts": "delivery",
            },
        )

        kept = Supplier.objects.get()
        assert (kept.name, kept.standing_order) == ("Cinderbrook Mowers", "refuse")
        assert kept.periods.get().count == 3

    def test_an_unknown_supplier_is_a_404(self):
        for pk in (999, 2**63):
            url = reverse("edit_supplier", args=[pk])
            assert self.client.get(url).status_code == 404
