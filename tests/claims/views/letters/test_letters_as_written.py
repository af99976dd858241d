"""A notice's letter is made when it is written: what is signed is what is kept."""

from io import BytesIO
from unittest.mock import patch

import pytest
from django.urls import reverse
from pypdf import PdfReader

from claims.models import Notice
from inventory.evidence.store.homes import StoreUnavailableError
from inventory.models import Event, SentDocument
from tests import making
from tests.claims.views.claim.test_claims import PageCase

pytestmark = pytest.mark.database


def words_of(data):
    return " ".join(
        " ".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages).split()
    )


class Written(PageCase):
    def write(self, **over):
        url = reverse("write_notice", args=[self.stage.shipment.pk, "concealed"])
        shown = self.client.get(url).context["form"]
        data = {"addressee": "Plainsway, claims", "text": shown.initial["text"], **over}
        self.client.post(url, data)
        return Notice.objects.get()

    def letter(self, row):
        return self.client.get(reverse("notice_letter", args=[row.pk])).content

    def send(self, row):
        row.refresh_from_db()
        return self.client.post(
            reverse("send_notice", args=[row.pk]),
            {"version": row.version, "on": "2026-03-16", "how": "email"},
        )

    def renew(self, row):
        return self.client.post(
            reverse("renew_notice_letter", args=[row.pk]), follow=True
        )

    def move_house(self):
        location = self.stage.shipment.location
        location.name, location.address = "Another name", "1 New Street"
        location.save()


class TestLetterhead(Written):
    def test_what_was_printed_to_be_signed_is_what_is_kept_as_sent(self):
        row = self.write()
        printed = self.letter(row)
        self.move_house()

        assert self.letter(row) == printed
        self.send(row)
        assert self.letter(row) == printed
        kinds = SentDocument.objects.values_list("document_version", "original_id")
        assert len({sha256 for _, sha256 in kinds}) == 1

    def test_before_it_is_sent_it_can_be_made_again(self):
        row = self.write()
        first = self.letter(row)
        self.move_house()
        self.assertContains(self.renew(row), "The letter is made again")

        assert "1 New Street" in words_of(self.letter(row))
        self.send(row)
        assert "1 New Street" in words_of(self.letter(row))
        assert first != self.letter(row)
        told = Event.objects.filter(kind="notice.letter")
        assert [one.data["version"] for one in told] == [1, 2]

    def test_made_again_without_a_change_it_is_the_same_one(self):
        row = self.write()
        self.renew(row)
        assert SentDocument.objects.count() == 1

    def test_once_it_is_sent_it_is_not_made_again(self):
        row = self.write()
        self.send(row)
        before = self.letter(row)
        self.move_house()

        self.assertContains(self.renew(row), "The letter went out")
        assert self.letter(row) == before
        page = self.client.get(reverse("notice", args=[row.pk]))
        self.assertNotContains(page, "Make the letter again")

    def test_where_the_disk_refuses_the_notice_is_saved_and_says_so(self):
        refuse = StoreUnavailableError("The disk is nearly full.")
        with patch(
            "inventory.evidence.store.originals.store_original", side_effect=refuse
        ):
            row = self.write()
        page = self.client.get(reverse("notice", args=[row.pk]))
        self.assertContains(page, "The notice is saved. Its letter:")
        assert not SentDocument.objects.exists()

    def test_one_sent_before_letters_were_kept_is_given_as_a_copy(self):
        row = making.make_notice(
            self.stage.shipment, sent_on="2026-03-15", text="Subject\n\nBody."
        )
        text = words_of(self.letter(row))
        assert "Copy: Subject" in text
        assert "sent before letters were kept" in text


class TestSignature(Written):
    def signed(self, row):
        text = words_of(self.letter(row))
        return text[text.index("received this notice.") :]

    def test_it_names_the_person_with_the_title_and_the_dealer_once(self):
        row = self.write()
        name = row.shipment.location.name
        signed = self.signed(row)

        assert signed == f"received this notice. {self.people.mina} Manager {name}"
        assert signed.count(str(self.people.mina)) == 1

    def test_the_text_to_mail_ends_with_the_same_names(self):
        row = self.write()
        lines = row.text.splitlines()[-3:]
        assert lines == [str(self.people.mina), "Manager", str(row.shipment.location)]

    def test_another_person_put_there_by_the_manager_signs(self):
        row = self.write()
        text = row.text.replace(f"{self.people.mina}\nManager", "Jo Hale\nOwner")
        Notice.objects.all().delete()
        signed = self.signed(self.write(text=text))

        assert signed.startswith("received this notice. Jo Hale Owner ")
        assert str(self.people.mina) not in signed


class TestDate(Written):
    def test_the_file_says_the_day_on_which_it_was_made(self):
        row = self.write()
        facts = PdfReader(BytesIO(self.letter(row))).metadata
        day = row.written_at.astimezone(row.shipment.location.zone).date()

        assert facts.creation_date.date() == day
        assert facts.modification_date.date() == day
