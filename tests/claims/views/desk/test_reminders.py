"""A private calendar and a morning mail: only one's own, only on asking."""

from datetime import date, timedelta
from unittest import mock

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from icalendar import Calendar

from claims.actions.desk import morning
from claims.actions.desk.morning import send_next_morning
from claims.models import CalendarFeed, Deadline, MorningMail
from claims.queries.desk.reminders import calendar_entries, morning_lines
from inventory.actions.mail.beats import beat
from inventory.documents.core.mails import read_mail
from inventory.evidence.seal.sent_documents import sent_bytes
from inventory.models import Assignment, OutgoingMail
from inventory.views.core.clock import now
from tests import making
from tests.claims.stage import TODAY
from tests.claims.views.claim.test_claims import PageCase

pytestmark = pytest.mark.database


class TestCalendar(PageCase):
    def make(self):
        answer = self.client.post(reverse("make_calendar"), follow=True)
        words = answer.content.decode()
        start = words.index("/calendar/")
        return words[start : words.index(".ics", start) + 4]

    def read(self, address):
        return Client().get(address)

    def test_it_parses_and_two_reads_are_the_same_bytes(self):
        address = self.make()

        first, second = self.read(address), self.read(address)

        assert first.status_code == 200
        assert first.content == second.content
        calendar = Calendar.from_ical(first.content)
        events = calendar.walk("VEVENT")
        assert events
        assert len({str(event["UID"]) for event in events}) == len(events)
        assert all(type(event.decoded("DTSTART")) is date for event in events)

    def test_its_days_are_those_that_the_rules_counted(self):
        """The safe day of each open duty of ours, as ``reckon deadlines`` prints it."""
        calendar = Calendar.from_ical(self.read(self.make()).content)
        days = {
            str(event["UID"]): event.decoded("DTSTART")
            for event in calendar.walk("VEVENT")
        }

        open_ones = Deadline.objects.filter(
            owed_by="claimant", superseded_at=None, met_on=None, duty="claim"
        )
        assert open_ones
        for row in open_ones:
            assert days[f"deadline-{row.pk}@tarefold.example"] == row.safe

    def test_it_names_no_person_and_no_amount(self):
        words = self.read(self.make()).content.decode().replace("\r\n ", "")

        for person in ("Mina", "Rosa", "Tomas", "USD", "$"):
            assert person not in words

    def test_the_token_is_stored_nowhere(self):
        token = self.make().split("/")[-1].removesuffix(".ics")

        (row,) = CalendarFeed.objects.all()
        assert token not in row.token_hash
        assert len(row.token_hash) == 64

    def test_a_new_address_kills_the_old_one_and_ending_kills_both(self):
        old = self.make()
        new = self.make()
        assert self.read(old).status_code == 404
        assert self.read(new).status_code == 200

        self.client.post(reverse("end_calendar"))

        assert self.read(new).status_code == 404

    def test_it_obeys_the_roles_at_each_read(self):
        address = self.make()
        Assignment.objects.filter(person=self.people.mina).update(role="clerk")
        assert not Calendar.from_ical(self.read(address).content).walk("VEVENT")

        self.people.mina.is_active = False
        self.people.mina.save()

        assert self.read(address).status_code == 404

    def test_a_stranger_of_another_dock_sees_nothing_of_this_one(self):
        assert calendar_entries(self.people.nell, date(2026, 3, 16)) == []


class TestMorningMail(PageCase):
    def ask(self, hour="6"):
        return self.client.post(
            reverse("reminders"),
            {
                "address": "mina@dock.example",
                "hour": hour,
                "location": str(self.people.riverside.pk),
            },
        )

    def send(self):
        return send_next_morning(worker="one", clock=now)

    def test_nobody_gets_one_without_asking(self):
        assert not self.send()

    def test_it_goes_out_once_a_day_with_ones_own_work(self):
        self.ask()

        assert self.send()
        assert not self.send()

        (mail,) = OutgoingMail.objects.all()
        words = read_mail(sent_bytes(mail.document)).body
        assert mail.to == "mina@dock.example"
        assert "PRO" in words
        with time_machine.travel(now() + timedelta(days=1), tick=False):
            assert self.send()
        assert OutgoingMail.objects.count() == 2

    def test_a_day_without_work_gives_no_mail_and_is_not_asked_again(self):
        self.ask()
        Deadline.objects.update(met_on=date(2026, 3, 12))

        assert self.send()
        assert not self.send()
        assert not OutgoingMail.objects.exists()

    def test_before_the_hour_nothing_goes(self):
        self.ask("11")
        here = now().astimezone(self.people.riverside.zone)
        with time_machine.travel(here.replace(hour=5, minute=0), tick=False):
            assert not self.send()

    def test_asking_again_changes_the_wish_and_stopping_ends_it(self):
        self.ask("6")
        self.ask("7")
        assert MorningMail.objects.filter(ended_at=None).count() == 1

        self.client.post(reverse("end_morning_mail"))

        assert not self.send()

    def test_a_clerk_may_ask_too_and_has_nothing_but_what_they_are_to_get(self):
        self.client.force_login(self.people.rosa)

        assert self.ask().status_code == 302

        assert MorningMail.objects.get().person == self.people.rosa
        assert morning_lines(self.people.rosa, TODAY) == []
        making.make_paper_task(self.claim, owner=self.people.rosa)
        assert len(morning_lines(self.people.rosa, TODAY)) == 1

    def ask_as_nell(self):
        """Ask for the mail of another manager, whose mail cannot be made."""
        Assignment.objects.create(
            person=self.people.nell, location=self.people.riverside, role="manager"
        )
        self.client.force_login(self.people.nell)
        self.ask()
        MorningMail.objects.update(address="broken@dock.example")
        self.client.force_login(self.people.mina)
        self.ask()

    def test_one_that_cannot_be_made_holds_up_nobody_elses(self):
        self.ask_as_nell()
        made = morning.draw_mail

        def draw(text, **over):
            if text.to == "broken@dock.example":
                raise ValueError("No mail can be made of this.")
            return made(text, **over)

        with (
            mock.patch.object(morning, "draw_mail", draw),
            mock.patch.dict(morning._failed, clear=True),
        ):
            with self.assertLogs(morning.__name__, "ERROR") as told:
                assert self.send()
                assert not self.send()
            with time_machine.travel(now() + timedelta(minutes=9), tick=False):
                assert not self.send()
            assert len(told.output) == 1
            assert "Nell Harrow" in told.output[0]
            later = now() + timedelta(minutes=11)
            with (
                time_machine.travel(later, tick=False),
                self.assertLogs(morning.__name__, "ERROR"),
            ):
                assert not self.send()

        assert [mail.to for mail in OutgoingMail.objects.all()] == ["mina@dock.example"]

    def test_a_mail_that_could_not_be_made_is_shown(self):
        self.ask()
        beat(lane="morning", at=now())
        assert (
            "Not made today"
            not in self.client.get(reverse("reminders")).content.decode()
        )

        with time_machine.travel(now() + timedelta(minutes=61), tick=False):
            beat(lane="morning", at=now())
            page = self.client.get(reverse("reminders")).content.decode()
            desk = self.client.get(reverse("claims")).content.decode()
            assert self.send()
            after = self.client.get(reverse("claims")).content.decode()

        assert "Not made today" in page
        assert "No morning mail today." in desk
        assert "No morning mail today." not in after
