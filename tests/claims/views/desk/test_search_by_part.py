"""The search box and the label search find a number by any part of it."""

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.actions.core.versions import change_row
from inventory.models import Crate
from tests.making import make_crate, make_shipment, make_unit
from tests.people import cast

pytestmark = pytest.mark.database


class TestSearchByPart(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.bill = make_shipment(pro_number="778-204 11")
        cls.crate = make_crate(cls.bill, mark="2F0416/6")
        cls.unit = make_unit(cls.bill, serial="TX-48 001.7")

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def found(self, q):
        sections = self.client.get(reverse("search"), {"q": q}).context["sections"]
        rows = {one.name: [row for row, _ in one.rows] for one in sections}
        return [rows.get(name, []) for name in ("shipment", "machine", "crate")]

    def test_any_part_of_a_mark_finds_the_crate(self):
        for typed in ("0416", "2f0416", "2F0416/6", "2f-0416-6", "416/6", "4166"):
            assert self.found(typed)[2] == [self.crate], typed
        assert self.found("0417") == [[], [], []]
        assert self.found("/") == [[], [], []]

    def test_any_part_of_a_pro_or_serial_finds_its_row(self):
        for typed in ("77820411", "PRO 778-204", "204 11"):
            assert self.found(typed)[0] == [self.bill], typed
        for typed in ("tx48", "0017", "48 001"):
            assert self.found(typed)[1] == [self.unit], typed

    def test_the_whole_number_comes_before_its_beginning_and_any_part(self):
        part = make_crate(self.bill, mark="X2F0416/6")
        begins = make_crate(self.bill, mark="2F0416/61")

        assert self.found("2F0416-6")[2] == [self.crate, begins, part]

    def test_a_mark_that_is_changed_is_found_by_the_new_one_alone(self):
        change_row(self.crate, version=1, mark="9G/77")

        assert self.found("g77")[2] == [self.crate]
        assert self.found("0416")[2] == []
        Crate.objects.filter(pk=self.crate.pk).update(mark="H-1")
        assert self.found("h1")[2] == [self.crate]

    def test_a_part_is_listed_by_the_label_search_and_never_opened(self):
        url = reverse("find_crate")
        whole = self.client.get(url, {"code": "2F0416/6"})
        assert whole.url == reverse("crate", args=[self.crate.pk])

        part = self.client.get(url, {"code": "0416"})

        assert part.status_code == 200
        text = " ".join(part.content.decode().split())
        assert "1 crate with" in text
        assert reverse("crate", args=[self.crate.pk]) in text
