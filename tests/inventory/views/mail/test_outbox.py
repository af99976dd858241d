"""The outbox as a person sees it, and what stands in red at the desks."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inventory.actions.mail.beats import beat
from inventory.actions.mail.delivering import deliver_next
from inventory.models import OutgoingMail
from tests.claims.views.claim.test_claims import PageCase
from tests.mail_server import mail_server
from tests.mailing import put_mail

pytestmark = pytest.mark.database


def deliver(*manners):
    """Try what is due, at a server with these manners."""
    with (
        mail_server(manners) as server,
        override_settings(
            EMAIL_BACKEND="django.core.mail.backends.smtp.EmailBackend",
            EMAIL_HOST="127.0.0.1",
            EMAIL_PORT=server.port,
            EMAIL_USE_TLS=False,
        ),
    ):
        deliver_next(worker="one", clock=timezone.now)


class TestOutbox(PageCase):
    def setUp(self):
        super().setUp()
        self.mail = self.put()

    def put(self, subject="About PRO 1"):
        return put_mail(
            self.stage.shipment,
            person=self.people.mina,
            at=timezone.now() - timedelta(minutes=5),
            subject=subject,
        )

    def page(self, name="mail", *args):
        return self.client.get(reverse(name, args=args or [self.mail.pk]))

    def test_a_waiting_mail_is_listed_and_shown_with_its_words(self):
        listed = self.client.get(reverse("outbox")).content.decode()
        shown = self.page().content.decode()

        assert "About PRO 1" in listed
        assert "Waiting to be sent" in listed
        assert "Please confirm by reply." in shown
        assert self.mail.message_id.strip("<>") in shown

    def test_it_says_in_red_that_nothing_is_sent_while_the_program_stands(self):
        assert (
            "was never started" in self.client.get(reverse("outbox")).content.decode()
        )
        beat(lane="mail", at=timezone.now())
        assert "Nothing is being sent" not in self.page("mail").content.decode()
        beat(lane="mail", at=timezone.now() - timedelta(minutes=4))
        assert "has stopped" in self.page("mail").content.decode()

    @override_settings(EMAIL_HOST="")
    def test_without_a_mail_server_it_names_the_folder(self):
        with self.settings(MAIL_FOLDER="/srv/yard/mail"):
            assert (
                "/srv/yard/mail" in self.client.get(reverse("outbox")).content.decode()
            )

    def test_a_refused_mail_is_red_at_both_desks_until_it_is_seen_to(self):
        desks = [reverse("dock"), reverse("claims")]
        assert not any(
            "did not go out" in self.client.get(one).content.decode() for one in desks
        )
        deliver("refuse")
        assert all(
            "did not go out" in self.client.get(one).content.decode() for one in desks
        )

        self.client.post(
            reverse("call_off_mail", args=[self.mail.pk]), {"reason": "By post"}
        )

        assert not any(
            "did not go out" in self.client.get(one).content.decode() for one in desks
        )

    def test_one_that_waits_for_more_than_an_hour_is_red_too(self):
        OutgoingMail._base_manager.update(due_from=timezone.now() - timedelta(hours=2))

        assert "did not go out" in self.client.get(reverse("claims")).content.decode()

    def test_a_taken_mail_is_no_proof_and_may_come_back(self):
        deliver()
        assert "no proof that anybody received it" in self.page().content.decode()

        self.client.post(
            reverse("mail_came_back", args=[self.mail.pk]), {"reason": "Mailbox full"}
        )

        self.mail.refresh_from_db()
        assert (self.mail.state, self.mail.state_reason) == ("refused", "Mailbox full")

    def test_send_again_answers_twice_and_puts_it_back_once(self):
        deliver("refuse")
        for _ in range(2):
            self.client.post(reverse("send_mail_again", args=[self.mail.pk]))

        self.mail.refresh_from_db()
        assert self.mail.state == "waiting"

    def test_a_reason_is_asked_for(self):
        answer = self.client.post(
            reverse("call_off_mail", args=[self.mail.pk]), {"reason": ""}
        )

        assert answer.status_code == 422
        self.mail.refresh_from_db()
        assert self.mail.state == "waiting"

    def test_the_file_is_the_mail_as_it_is_sent(self):
        data = self.page("mail_file").content

        assert self.mail.message_id.encode() in data
        assert b"X-Unsent" not in data

    def test_the_list_asks_as_often_for_ten_mails_as_for_two(self):
        self.put("one more")
        self.client.get(reverse("outbox"))
        with CaptureQueriesContext(connection) as two:
            self.client.get(reverse("outbox"))
        for number in range(8):
            self.put(f"more {number}")

        with CaptureQueriesContext(connection) as ten:
            self.client.get(reverse("outbox"))

        assert len(ten) == len(two)

    def test_more_than_a_page_of_open_mails_are_all_to_be_reached(self):
        for number in range(2, 29):
            self.put(f"About PRO {number}")

        first = self.client.get(reverse("outbox"))
        second = self.client.get(f"{reverse('outbox')}?open=2&page=1")

        self.assertContains(first, "To go out: 28")
        self.assertContains(first, 'href="?open=2"')
        self.assertNotContains(first, "About PRO 28")
        self.assertContains(second, "About PRO 28")
        self.assertContains(second, 'href="?open=1&amp;page=1"')


class TestMailingANotice(PageCase):
    def setUp(self):
        super().setUp()
        self.client.post(
            reverse("write_notice", args=[self.stage.shipment.pk, "concealed"]),
            {"addressee": "Gannet, Cargo Claims", "text": "Subject\n\nBody of it."},
        )
        self.notice = self.stage.shipment.notices.get()

    def send(self, to="claims@gannet.example"):
        return self.client.post(
            reverse("mail_notice", args=[self.notice.pk]),
            {"version": self.notice.version, "to": to},
        )

    def test_it_is_sent_and_waits_in_the_outbox_in_one_act(self):
        answer = self.send()

        self.notice.refresh_from_db()
        (mail,) = OutgoingMail.objects.all()
        assert answer.status_code == 302
        assert (self.notice.state, self.notice.sent_how) == ("sent", "email")
        assert (mail.to, mail.subject) == ("claims@gannet.example", "Subject")
        shown = self.client.get(reverse("mail", args=[mail.pk])).content.decode()
        assert "Body of it." in shown
        assert f"notice-{self.notice.pk}.pdf" in shown
        page = self.client.get(
            reverse("notice", args=[self.notice.pk])
        ).content.decode()
        assert "Email to claims@gannet.example" in page

    def test_twice_is_once(self):
        self.send()
        self.send()

        assert OutgoingMail.objects.count() == 1

    def test_a_crooked_address_is_told_and_nothing_is_sent(self):
        answer = self.send(to="claims at gannet")

        assert answer.status_code == 422
        assert "Enter one address" in answer.content.decode()
        assert not OutgoingMail.objects.exists()

    def test_the_page_offers_the_address_of_the_carriers_claims_desk(self):
        carrier = self.stage.shipment.carrier
        carrier.claims_email = "cargo@gannet.example"
        carrier.save()

        page = self.client.get(reverse("mail_notice", args=[self.notice.pk]))

        assert "cargo@gannet.example" in page.content.decode()
        assert "Body of it." in page.content.decode()
