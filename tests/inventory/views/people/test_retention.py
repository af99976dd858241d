"""The page of spans and legal holds; and who left keeps their name and what they did."""

import tempfile
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.test import Client, TestCase, override_settings
from django.urls import reverse

from inventory.actions.people.legal_holds import lift_hold, place_hold
from inventory.actions.people.people import change_person
from inventory.actions.receiving.deliveries import log_delivery
from inventory.models import Event, LegalHold
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.verifying import report_now

pytestmark = pytest.mark.database

PASSWORD = "seven brown crates"
STANDS = "A legal hold stands."


class RetentionTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.who.ada.set_password(PASSWORD)
        cls.who.ada.save()

    def setUp(self):
        self.client.force_login(self.who.ada)

    def page(self):
        return self.client.get(reverse("retention"))

    def enders(self):
        return {kind.what: ender for kind, ender in self.page().context["kinds"]}

    def place(self, matter="Marsh v. Quill"):
        return place_hold(
            person=self.who.ada, at=ARRIVED, matter=matter, reason="Counsel asked."
        )

    def lift(self, hold):
        lift_hold(person=self.who.ada, at=ARRIVED, hold=hold, reason="It was settled.")

    def test_the_page_says_how_long_and_is_found_from_the_upkeep(self):
        self.assertContains(self.client.get(reverse("upkeep")), reverse("retention"))
        page = self.page()

        self.assertContains(page, "26 U.S.C. 6511(d)(1): 7 years for a bad debt")
        self.assertContains(page, "Common practice, no source")
        self.assertContains(page, "None was placed.")
        self.assertNotContains(page, STANDS)

    def test_a_house_is_kept_seven_years_from_the_end_of_its_last_year(self):
        self.lift(self.place())

        self.assertContains(self.page(), "31 Dec 2033")

    def test_a_hold_outranks_every_span_until_the_last_one_is_lifted(self):
        before = self.enders()
        first, second = self.place(), self.place("The lost trailer")

        self.assertContains(self.page(), STANDS)
        self.assertContains(self.page(), "until the hold is lifted")
        assert self.enders()["Backups"] == "Nobody"
        self.lift(first)
        assert self.enders()["Backups"] == "Nobody"
        self.lift(second)
        assert self.enders() == before
        self.assertNotContains(self.page(), STANDS)

    @override_settings(PROOF_MINUTES=30)
    def test_it_is_placed_and_lifted_with_the_password_and_leaves_events(self):
        typed = {"matter": "Marsh v. Quill", "reason": "Counsel asked on May 4."}
        proof = {"proof-password": PASSWORD}
        shown = self.client.get(reverse("place_legal_hold"))
        typed["once"] = shown.context["form"]["once"].value()
        asked = self.client.post(reverse("place_legal_hold"), typed)
        self.assertContains(asked, "Counsel asked on May 4.", status_code=422)
        assert not LegalHold.objects.exists()
        self.client.post(reverse("place_legal_hold"), {**typed, **proof})
        row = LegalHold.objects.get()
        self.client.post(
            reverse("lift_legal_hold", args=[row.pk]),
            {"reason": "It was settled.", **proof},
        )
        row.refresh_from_db()

        assert (row.placed_by, row.lifted_by) == (self.who.ada, self.who.ada)
        assert row.lifted_because == "It was settled."
        kinds = Event.objects.filter(kind__startswith="legal-hold.")
        assert list(kinds.values_list("kind", "data__matter")) == [
            ("legal-hold.placed", "Marsh v. Quill"),
            ("legal-hold.lifted", "Marsh v. Quill"),
        ]

    def test_a_lifted_hold_is_not_lifted_again(self):
        row = self.place()
        self.lift(row)

        page = self.client.get(reverse("lift_legal_hold", args=[row.pk]))

        self.assertContains(page, "This hold was lifted already.")

    def test_a_hold_can_be_neither_deleted_nor_reworded_nor_half_lifted(self):
        row = self.place()
        table = LegalHold._meta.db_table
        for sql in (
            f"DELETE FROM {table}",
            f"UPDATE {table} SET matter = 'x'",
            f"UPDATE {table} SET lifted_because = 'x'",
        ):
            with (
                pytest.raises(IntegrityError),
                transaction.atomic(),
                connection.cursor() as cursor,
            ):
                cursor.execute(sql)
        assert report_now(with_originals=False).first == []
        assert LegalHold.objects.get() == row

    def test_whoever_runs_the_backup_is_told(self):
        self.place()
        out = StringIO()
        with tempfile.TemporaryDirectory() as folder:
            if connection.vendor != "sqlite":
                self.skipTest("A backup within a test's transaction needs SQLite.")
            call_command("backup", str(Path(folder) / "b"), stdout=out)

        assert (
            "A legal hold stands (Marsh v. Quill): delete no backup" in out.getvalue()
        )


class LeavingTests(TestCase):
    """A person who leaves keeps their name and what they did, and cannot sign in."""

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.who.rosa.set_password(PASSWORD)
        cls.who.rosa.save()
        cls.truck = log_delivery(
            person=cls.who.rosa,
            at=ARRIVED,
            location=cls.who.riverside,
            arrived_at=ARRIVED,
            carrier=making.make_carrier(),
            driver_name="Lou Parr",
        )

    def sign_in(self):
        browser = Client()
        typed = {"username": "rosa", "password": PASSWORD}
        browser.post(reverse("login"), typed)
        return browser

    def is_in(self, browser):
        return browser.get(reverse("dock")).status_code == 200

    def test_who_left_is_out_everywhere_and_their_acts_still_say_their_name(self):
        browser = self.sign_in()
        assert self.is_in(browser)
        rosa = self.who.rosa
        rosa.refresh_from_db()
        change_person(
            person=self.who.ada,
            at=ARRIVED,
            who=rosa,
            version=rosa.version,
            full_name=rosa.full_name,
            is_administrator=False,
            is_active=False,
            assigned=set(),
        )

        assert not self.is_in(browser)
        assert not self.is_in(self.sign_in())
        event = Event.objects.get(kind="delivery.logged")
        assert event.actor == rosa
        office = Client()
        office.force_login(self.who.mina)
        page = office.get(reverse("delivery", args=[self.truck.pk]))
        self.assertContains(page, "Rosa Field")
        office.force_login(self.who.ada)
        self.assertContains(office.get(reverse("people")), "Disabled: cannot sign in")
