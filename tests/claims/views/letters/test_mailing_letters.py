"""A letter about a claim is mailed from here, with what it encloses, once."""

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from claims.actions.claim.steps import send_claim
from claims.models import ClaimLetter
from inventory.documents.core.mails import read_mail
from inventory.evidence.seal.sent_documents import sent_bytes
from inventory.evidence.store.originals import path_of
from inventory.models import Event, OutgoingMail, SentDocument
from tests import making
from tests.claims.stage import claim_it, set_stage, step
from tests.people import cast
from tests.prepared_once import PreparedOnce

pytestmark = pytest.mark.database

AT = datetime(2026, 3, 16, 17, 0, tzinfo=UTC)


class MailedLetters(PreparedOnce):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.prepare_class()

    def setUp(self):
        self.client.force_login(self.who.mina)

    def prepare_once(self):
        claim = claim_it(self.who, set_stage(self.who))
        making.make_evidence(shipment=claim.shipment, kind="receipt")
        claim = send_claim(claim=claim, how="email", step=step(self.who, claim))
        page = reverse("write_claim_letter", args=[claim.pk, "documents"])
        shown = self.client.post(page, {"documents": "Signed delivery receipt"})
        form = shown.context["form"]
        seen = {name: form[name].value() for name in ("answers", "digest", "once")}
        self.client.post(page, seen)
        self.letter = ClaimLetter.objects.get()

    def send(self, to="claims@gannet.example"):
        return self.client.post(
            reverse("mail_claim_letter", args=[self.letter.pk]),
            {"version": self.letter.version, "to": to},
        )

    def test_it_is_recorded_as_sent_and_waits_with_its_pdf(self):
        assert self.send().status_code == 302

        self.letter.refresh_from_db()
        (mail,) = OutgoingMail.objects.all()
        words = read_mail(sent_bytes(mail.document))
        assert (self.letter.state, self.letter.sent_how) == ("sent", "email")
        assert (mail.to, mail.subject) == ("claims@gannet.example", self.letter.subject)
        assert words.files == (f"letter-{self.letter.claim.number}-1.pdf",)
        assert words.body == self.letter.text.strip()

    def test_its_page_names_the_mail_and_the_claims_history_tells_of_it(self):
        self.send()

        page = self.client.get(reverse("claim_letter", args=[self.letter.pk]))
        assert "Email to claims@gannet.example" in page.content.decode()
        event = Event.objects.get(kind="letter.sent")
        assert ("claim", str(self.letter.claim_id)) in set(
            event.subjects.values_list("noun", "key")
        )

    def test_twice_is_once(self):
        self.send()
        self.send()

        assert OutgoingMail.objects.count() == 1

    def test_a_letter_whose_file_is_gone_is_not_sent(self):
        kept = SentDocument.objects.get(kind="claim-letter")
        file = path_of(kept.original_id)
        data, mode = file.read_bytes(), file.stat().st_mode
        self.addCleanup(lambda: file.write_bytes(data) and file.chmod(mode))
        file.unlink()

        answer = self.send()

        assert "Nothing was sent" in answer.content.decode()
        assert not OutgoingMail.objects.exists()
        self.letter.refresh_from_db()
        assert self.letter.state != "sent"

    def test_who_may_not_make_claims_may_not_send(self):
        for person in (self.who.rosa, self.who.tomas, self.who.abel):
            self.client.force_login(person)
            assert self.send().status_code == 403
        self.client.force_login(self.who.nell)
        assert self.send().status_code == 404
        assert not OutgoingMail.objects.exists()
