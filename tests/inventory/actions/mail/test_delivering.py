"""Mail out of the outbox: at least once, never two at once, whatever the server does."""

import random
from collections import Counter
from datetime import UTC, datetime, timedelta
from unittest import mock

import pytest
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.test import TestCase, override_settings

from inventory.actions.core.versions import RefusedError
from inventory.actions.mail.delivering import deliver_next
from inventory.actions.mail.outbox import call_off, mark_returned, send_again
from inventory.documents.core.mails import Attached, read_mail
from inventory.evidence.seal.sent_documents import sent_bytes
from inventory.evidence.store import originals
from inventory.models import Event, OutgoingMail
from tests import making
from tests.mail_server import mail_server
from tests.mailing import MAILBOX, put_mail
from tests.people import cast
from tests.sizes import cases
from tests.verifying import report_now

pytestmark = pytest.mark.database

AT = datetime(2026, 11, 26, 15, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self):
        self.at = AT

    def __call__(self):
        return self.at


def smtp(server, **more):
    """Send over this server."""
    return override_settings(
        EMAIL_BACKEND="django.core.mail.backends.smtp.EmailBackend",
        EMAIL_HOST="127.0.0.1",
        EMAIL_PORT=server.port,
        EMAIL_USE_TLS=False,
        **more,
    )


class Scene(TestCase):
    def setUp(self):
        self.who = cast()
        self.bill = making.make_shipment(location=self.who.riverside)
        self.clock = Clock()

    def put(self, **more):
        return put_mail(self.bill, person=self.who.mina, at=AT, **more)

    def deliver(self, worker="one"):
        return deliver_next(worker=worker, clock=self.clock)

    def told(self):
        return list(
            Event.objects.filter(kind__startswith="mail.").values_list(
                "kind", flat=True
            )
        )


class DeliveringTests(Scene):
    def test_a_mail_goes_out_with_its_own_bytes(self):
        photo = Attached("receipt-1.jpg", "image/jpeg", b"\xff\xd8pixels")
        mail = self.put(files=[photo])
        with mail_server() as server, smtp(server):
            assert self.deliver()
            assert not self.deliver()

        mail.refresh_from_db()
        assert mail.state == "taken"
        assert server.taken == [mail.message_id]
        read = read_mail(sent_bytes(mail.document))
        assert read.files == ("receipt-1.jpg",)
        assert "Please confirm by reply." in read.body
        assert self.told() == ["mail.taken"]

    def test_what_becomes_of_it_is_told_in_the_history_of_its_bill(self):
        self.put()
        with mail_server() as server, smtp(server):
            self.deliver()

        event = Event.objects.get(kind="mail.taken")
        assert (self.bill._meta.model_name, str(self.bill.pk)) in set(
            event.subjects.values_list("noun", "key")
        )

    def test_what_was_rolled_back_is_never_sent(self):
        with pytest.raises(ZeroDivisionError), transaction.atomic():
            self.put()
            1 / 0  # noqa: B018

        assert not self.deliver()

    def test_a_busy_server_is_asked_again_a_minute_later(self):
        mail = self.put()
        with mail_server(["busy"]) as server, smtp(server):
            self.deliver()
            mail.refresh_from_db()
            assert (mail.state, mail.next_try_at) == ("waiting", AT + MINUTE)
            assert "451 4.3.0 try again later" in mail.trouble
            assert not self.deliver()

            self.clock.at += MINUTE
            assert self.deliver()

        mail.refresh_from_db()
        assert (mail.state, mail.tries) == ("taken", 2)

    def test_an_unknown_mailbox_ends_it_in_red(self):
        mail = self.put()
        with mail_server(["refuse"]) as server, smtp(server):
            self.deliver()

        mail.refresh_from_db()
        assert mail.state == "refused"
        assert "550 5.1.1 no such mailbox" in mail.state_reason
        assert self.told() == ["mail.refused"]

    def test_after_five_days_it_is_given_up(self):
        mail = self.put()
        with mail_server(["busy", "busy"]) as server, smtp(server):
            self.deliver()
            self.clock.at += timedelta(days=5)
            self.deliver()

        mail.refresh_from_db()
        assert mail.state == "refused"

    def test_a_lost_file_is_told_and_nothing_else_is_sent(self):
        mail = self.put()
        originals.path_of(mail.document.original_id).unlink()
        with mail_server() as server, smtp(server):
            self.deliver()

        mail.refresh_from_db()
        assert mail.state == "refused"
        assert "missing or damaged" in mail.state_reason
        assert server.taken == []

    def test_a_leased_mail_is_nobody_elses_until_its_lease_ends(self):
        self.put()
        others = []

        def while_sending(*_):
            others.append(self.deliver("two"))
            return 1

        with (
            mock.patch.object(
                BaseEmailBackend, "send_messages", side_effect=while_sending
            ),
            override_settings(
                EMAIL_BACKEND="django.core.mail.backends.base.BaseEmailBackend"
            ),
        ):
            self.deliver("one")

        assert others == [False]

    def test_who_lost_the_lease_writes_nothing(self):
        mail = self.put()

        def overtaken(*_):
            OutgoingMail._base_manager.update(leased_by="two")
            return 1

        with (
            mock.patch.object(BaseEmailBackend, "send_messages", side_effect=overtaken),
            override_settings(
                EMAIL_BACKEND="django.core.mail.backends.base.BaseEmailBackend"
            ),
        ):
            self.deliver("one")

        mail.refresh_from_db()
        assert mail.state == "waiting"
        assert self.told() == []

    def test_a_worker_that_died_leaves_the_mail_to_the_next_after_its_lease(self):
        mail = self.put()
        mail.leased_by = "dead"
        OutgoingMail._base_manager.update(
            leased_by="dead", leased_until=AT + 10 * MINUTE
        )
        with mail_server() as server, smtp(server):
            assert not self.deliver()
            self.clock.at += 10 * MINUTE
            assert self.deliver()

        assert server.taken == [mail.message_id]

    def test_the_oldest_goes_first(self):
        first, second = self.put(subject="A"), self.put(subject="B")
        with mail_server() as server, smtp(server):
            self.deliver()
            self.deliver()

        assert server.taken == [first.message_id, second.message_id]

    def test_its_rows_are_sealed_and_an_edited_address_is_found(self):
        mail = self.put()
        with mail_server() as server, smtp(server):
            self.deliver()
        assert not [one for one in report_now().first if "outgoingmail" in one]

        OutgoingMail._base_manager.filter(pk=mail.pk).update(to="else@gannet.example")

        assert [one for one in report_now().first if "outgoingmail" in one]


class PersonsActsTests(Scene):
    def test_a_refused_mail_is_sent_again_under_the_same_id(self):
        mail = self.put()
        with mail_server(["refuse"]) as server, smtp(server):
            self.deliver()
            mail.refresh_from_db()
            send_again(mail=mail, person=self.who.mina, at=self.clock.at)
            self.deliver()

        mail.refresh_from_db()
        assert mail.state == "taken"
        assert server.taken == [mail.message_id]
        assert self.told() == ["mail.refused", "mail.again", "mail.taken"]

    def test_one_that_is_called_off_is_not_sent(self):
        mail = self.put()
        call_off(mail=mail, reason="By certified mail", person=self.who.mina, at=AT)

        assert not self.deliver()
        assert self.told() == ["mail.called-off"]

    def test_one_that_is_going_out_now_is_not_called_off(self):
        mail = self.put()
        OutgoingMail._base_manager.update(leased_by="one", leased_until=AT + MINUTE)

        with pytest.raises(RefusedError, match="being sent right now"):
            call_off(mail=mail, reason="No", person=self.who.mina, at=AT)

    def test_one_that_came_back_is_red_again(self):
        mail = self.put()
        with mail_server() as server, smtp(server):
            self.deliver()
        mail.refresh_from_db()

        mark_returned(mail=mail, reason="Mailbox full", person=self.who.mina, at=AT)

        mail.refresh_from_db()
        assert (mail.state, mail.state_reason) == ("refused", "Mailbox full")


class HostileServerTests(Scene):
    @pytest.mark.slow
    def test_none_is_missed_and_at_most_one_is_doubled_for_each_crash(self):
        count = cases(40, 1_000)
        draw = random.Random(20_261_127)
        kinds = ["take"] * 6 + ["drop", "busy", "late", "stall"]
        manners = [draw.choice(kinds) for _ in range(3 * count)]
        mails = [
            self.put(to=f"m{number}@{MAILBOX.split('@')[1]}") for number in range(count)
        ]
        with (
            mail_server(manners, stall_seconds=0.06) as server,
            smtp(server, EMAIL_TIMEOUT=0.05),
        ):
            for _ in range(60):
                while self.deliver():
                    pass
                if not OutgoingMail.objects.filter(state="waiting").exists():
                    break
                self.clock.at += timedelta(hours=1)

        taken = Counter(server.taken)
        assert set(taken) == {mail.message_id for mail in mails}
        assert OutgoingMail.objects.filter(state="taken").count() == count
        assert server.crashes > 0
        assert sum(taken.values()) - count <= server.crashes
