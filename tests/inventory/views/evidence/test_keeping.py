"""What is noticed on a photo is said at once, on every form that takes one."""

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from tests import making
from tests.people import cast
from tests.pictures import jpeg

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

    def test_after_an_act_that_went_well(self):
        self.client.force_login(self.who.tomas)
        answer = self.client.post(
            reverse("open_crate", args=[self.crate.pk]),
            {"photos": [small_photo()], "client_id": str(uuid.uuid4())},
            follow=True,
        )

        self.assertContains(answer, SMALL)

    def test_on_a_form_whose_words_are_wrong_while_the_photo_is_kept(self):
        self.client.force_login(self.who.tomas)
        url = reverse("record_finding", args=[self.shipment.pk])
        answer = self.client.post(
            f"{url}?crate={self.crate.pk}",
            {"photos": [small_photo()], "client_id": str(uuid.uuid4())},
        )

        self.assertContains(answer, SMALL, status_code=422)

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
