"""The page of whoever runs the house: what waits, what was done, what is late."""

from datetime import timedelta
from io import StringIO
from unittest import mock

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection
from django.test import TestCase, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inventory.actions.core.upkeep import note_run
from inventory.actions.mail.beats import beat
from inventory.models import OutgoingMail, UpkeepRun
from tests import making
from tests.mailing import put_mail
from tests.people import cast

pytestmark = pytest.mark.database


@override_settings(MIN_FREE_BYTES=0)
class TestUpkeep(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.at = timezone.now()
        beat(lane="mail", at=cls.at)

    def setUp(self):
        self.client.force_login(self.who.ada)

    def put(self, **tries):
        """Put a mail into the outbox; set the columns of its tries as given."""
        bill = making.make_shipment(location=self.who.riverside)
        mail = put_mail(bill, person=self.who.mina, at=self.at)
        OutgoingMail.objects.filter(pk=mail.pk).update(**tries)

    def late(self):
        """Return the lines that stand in red over the people."""
        page = self.client.get(reverse("people"))
        return {line.name: line.stands for line in page.context["late"]}

    def test_a_house_that_is_kept_has_no_red_line(self):
        assert self.late() == {}

    def test_a_failed_backup_stands_over_the_people(self):
        note_run(task="backup", at=self.at, went_well=False, words="No room.")

        assert self.late() == {"Backup": "Failed just now: No room."}

    def test_a_good_backup_after_a_failed_one_ends_the_alarm(self):
        note_run(task="backup", at=self.at, went_well=False, words="No room.")
        note_run(task="backup", at=self.at, went_well=True, words="7 events.")

        assert self.late() == {}

    def test_an_old_check_is_told_with_the_age_of_the_last_good_one(self):
        note_run(
            task="verify",
            at=self.at - timedelta(days=9),
            went_well=True,
            words="7 events.",
        )

        told = self.late()["Check of all records and photos"]
        assert told == "9 days ago. 7 events."

    def test_a_stopped_working_program_is_told(self):
        beat(lane="mail", at=self.at - timedelta(hours=5))

        assert self.late() == {"Working program": "Seen 5 hours ago"}

    def test_mail_that_waits_or_reached_nobody_is_told(self):
        self.put(due_from=self.at - timedelta(hours=3))
        self.put(state="refused")

        assert self.late() == {
            "Mail to send": "1 mail, the oldest for 3 hours",
            "Mail that reached nobody": "1 mail came back or was refused",
        }

    @override_settings(MIN_FREE_BYTES=10**18)
    def test_a_full_disk_is_told(self):
        assert "Free room for photos and records" in self.late()

    def test_the_page_names_every_line(self):
        page = self.client.get(reverse("upkeep"))

        for name in ("Working program", "Backup", "Published root", "Photos to read"):
            self.assertContains(page, name)

    def test_a_check_that_found_a_fault_is_told(self):
        self.change_behind_the_records()

        with self.assertRaises(CommandError):
            call_command("verify", "--rows-only", stdout=StringIO())

        told = self.late()["Check of all records and photos"]
        assert told.startswith("Failed just now: ")
        assert told.endswith(" faults.")

    def change_behind_the_records(self):
        """Write rows without an event: what ``verify`` is there to find."""
        making.make_shipment(location=self.who.riverside)

    def test_asking_costs_the_same_with_many_mails(self):
        self.put()
        few = self.queries()
        for _ in range(3):
            self.put()

        assert self.queries() == few

    def queries(self):
        with CaptureQueriesContext(connection) as asked:
            self.client.get(reverse("upkeep"))
        return len(asked)


class TestAnEmptyHouse(TestCase):
    def test_a_check_that_went_well_is_noted(self):
        call_command("verify", "--rows-only", stdout=StringIO())

        run = UpkeepRun.objects.get(task="verify")
        assert run.went_well
        assert run.good_at == run.ended_at
        assert run.words == "0 events."

    def test_what_cannot_be_noted_is_no_less_done(self):
        with (
            mock.patch.object(
                UpkeepRun.objects, "update_or_create", side_effect=OperationalError
            ),
            self.assertLogs("inventory.actions.core.upkeep", "WARNING"),
        ):
            call_command("verify", "--rows-only", stdout=StringIO())
