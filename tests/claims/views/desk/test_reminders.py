"""A private calendar and a morning mail: only one's own, only on asking."""

from datetime import date, timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from icalendar import Calendar

from claims.actions.desk.morning import send_next_morning
from claims.models import CalendarFeed, Deadline, MorningMail
from claims.queries.desk.reminders import calendar_entries
from inventory.documents.core.mails import read_mail
from inventory.evidence.seal.sent_documents import sent_bytes
from inventory.models import Assignment, OutgoingMail
from inventory.views.core.clock import now
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

    def test_a_clerk_is_told_that_there_is_nothing_to_remind_of(self):
        self.client.force_login(self.people.rosa)

        page = self.client.get(reverse("reminders")).content.decode()

        assert "nothing to remind" in page
        assert self.ask().status_code in {200, 409, 422}
        assert not MorningMail.objects.exists()
