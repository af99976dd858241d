"""Where the answers to our mails go: a mailbox that people read."""

import pytest
from django.test import TestCase, override_settings
from django.urls import reverse

from inventory.documents.core.mails import read_mail
from inventory.evidence.store.originals import intact_bytes
from inventory.models import Location, User
from tests import making
from tests.mailing import put_mail
from tests.people import cast

pytestmark = pytest.mark.database


@override_settings(EMAIL_REPLY_TO="office@dealer.example")
class ReplyToTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def answers_go_to(self):
        bill = making.make_shipment(location=self.who.riverside)
        mail = put_mail(bill, person=self.who.mina, at=making.ARRIVED)
        return read_mail(intact_bytes(mail.document.original_id)).reply_to

    def test_the_persons_mailbox_comes_before_the_locations_and_the_companys(self):
        self.assertEqual(self.answers_go_to(), "office@dealer.example")

        self.who.riverside.email = "dock@dealer.example"
        self.assertEqual(self.answers_go_to(), "dock@dealer.example")

        self.who.mina.email = "mina@dealer.example"
        self.assertEqual(self.answers_go_to(), "mina@dealer.example")


class FormTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def change(self, name, row, email):
        self.client.force_login(self.who.ada)
        url = reverse(name, args=[row.pk])
        form = self.client.get(url).context["form"]
        data = {
            one: form[one].value()
            for one in form.fields
            if form[one].value() is not None
        }
        return self.client.post(url, {**data, "email": email})

    def test_a_person_and_a_location_have_a_mailbox(self):
        for name, row, model in (
            ("edit_person", self.who.mina, User),
            ("edit_location", self.who.riverside, Location),
        ):
            with self.subTest(name):
                answer = self.change(name, row, "claims@dealer.example")
                self.assertEqual(answer.status_code, 302)
                found = model.objects.get(pk=row.pk)
                self.assertEqual(found.email, "claims@dealer.example")

    def test_what_is_no_address_is_refused_in_words(self):
        answer = self.change("edit_location", self.who.riverside, "claims at dealer")

        self.assertContains(answer, "Enter one address", status_code=422)
