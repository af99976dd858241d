"""What is noticed on a photo is said at once, on every form that takes one."""

import re
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from inventory.models import Evidence
from tests import making
from tests.people import cast
from tests.pictures import jpeg
from tests.reading import read_photos

pytestmark = pytest.mark.database

SMALL = "The photo is very small."


def small_photo():
    return SimpleUploadedFile("a.jpg", jpeg((60, 40), colour=(200, 200, 200)))


class TestRemarksAreSaid(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.delivery = making.make_signed_delivery(location=cls.who.riverside)
        cls.shipment = making.make_shipment(
            location=cls.who.riverside, carrier=cls.delivery.carrier
        )
        making.make_handover(cls.delivery, cls.shipment)
        cls.crate = making.make_crate(cls.shipment, delivery=cls.delivery, look="clear")

    def assert_watched(self, page):
        """The page asks for the photo's reading, and so says what was noticed."""
        photo = Evidence.objects.get()
        watched = re.search(r'data-readings="reading:([^"]+)" hidden', page.text)
        assert watched[1] == str(photo.pk)
        address = reverse("photo_reading", args=[photo.pk])
        assert self.client.get(address).json() == {"is_read": False}
        read_photos()
        told = self.client.get(address).json()
        assert SMALL in " ".join(told["remarks"])

    def test_after_an_act_that_went_well(self):
        self.client.force_login(self.who.tomas)
        answer = self.client.post(
            reverse("open_crate", args=[self.crate.pk]),
            {"photos": [small_photo()], "client_id": str(uuid.uuid4())},
            follow=True,
        )

        self.assert_watched(answer)

    def test_on_a_form_whose_words_are_wrong_while_the_photo_is_kept(self):
        self.client.force_login(self.who.tomas)
        url = reverse("record_finding", args=[self.shipment.pk])
        answer = self.client.post(
            f"{url}?crate={self.crate.pk}",
            {"photos": [small_photo()], "client_id": str(uuid.uuid4())},
        )

        self.assert_watched(answer)
        read_photos()
        again = self.client.post(
            f"{url}?crate={self.crate.pk}",
            {
                "photos_kept": [str(Evidence.objects.get().pk)],
                "client_id": str(uuid.uuid4()),
            },
        )
        self.assertContains(again, SMALL, status_code=422)

    def test_a_good_photo_gets_no_word(self):
        self.client.force_login(self.who.tomas)
        answer = self.client.post(
            reverse("open_crate", args=[self.crate.pk]),
            {
                "photos": [SimpleUploadedFile("a.jpg", jpeg())],
                "client_id": str(uuid.uuid4()),
            },
            follow=True,
        )

        self.assertNotContains(answer, "Take it again")
        read_photos()
        address = reverse("photo_reading", args=[Evidence.objects.get().pk])
        assert self.client.get(address).json()["remarks"] == []
