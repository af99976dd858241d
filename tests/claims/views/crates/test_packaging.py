"""A packaging hold has its days, two letters, and three ways out."""

from io import BytesIO
from unittest.mock import patch

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from pypdf import PdfReader

from claims.actions.letters import packaging
from inventory.models import Evidence, SentDocument
from inventory.rules.crates.packaging import NEEDED
from tests import making
from tests.claims.crate_stage import Crates
from tests.pictures import jpeg

pytestmark = pytest.mark.database


class TestHoldPage(Crates):
    def setUp(self):
        super().setUp()
        self.hold = making.make_packaging_hold(self.crate)

    def send(self, name, **data):
        self.hold.refresh_from_db()
        return self.client.post(
            reverse(name, args=[self.hold.pk]), {"version": self.hold.version, **data}
        )

    def ask(self, who, **said):
        """Confirm the letter that is shown, then record it as sent."""
        form = self.page(f"ask_{who}", self.hold).context["form"]
        seen = {name: form[name].value() for name in ("digest", "once")}
        self.send(f"ask_{who}", **seen)
        return self.send(f"{who}_asked", **said)

    def test_two_weeks_ahead_it_presses(self):
        self.charge(50)
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "Due within 14 days.")
        self.assertContains(page, "10 days left.")
        self.assertContains(page, "Shipping it the day after costs $3.08.")
        self.assertContains(page, "Ask the carrier now.")

    def test_three_weeks_ahead_it_does_not(self):
        self.charge(30)
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "On time.")
        self.assertNotContains(page, "Ask the carrier now.")

    def test_without_a_deposit_it_says_so_plainly(self):
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "No deposit is charged on it yet")

    def test_where_the_supplier_stopped_its_clock_no_day_runs(self):
        self.charge(20)
        self.ask("supplier", on=self.today.isoformat())
        self.send("stop_clock", on=self.today.isoformat())
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "No days are counted while the crate is on hold.")

    def test_the_loss_to_the_hold_is_a_line_of_its_own(self):
        self.charge(80)
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "This hold has cost $61.67 so far.")

    def test_a_letter_sent_keeps_its_day(self):
        answer = self.ask("carrier", on=self.today.isoformat())
        self.assertRedirects(answer, reverse("packaging_hold", args=[self.hold.pk]))
        self.hold.refresh_from_db()
        assert self.hold.carrier_asked_on == self.today

    def test_a_letter_that_changes_while_others_record_is_not_confirmed(self):
        form = self.page("ask_carrier", self.hold).context["form"]

        def changed_while_we_waited():
            place = self.crate.shipment.location
            place.address = "9 Other Road"
            place.save()

        with patch.object(packaging, "lock_chain", changed_while_we_waited):
            answer = self.send("ask_carrier", digest=form["digest"].value())
        self.assertContains(answer, packaging.CHANGED, status_code=422)
        assert not SentDocument.objects.exists()

    def test_a_day_that_is_none_comes_back_as_typed(self):
        for text in ("yesterday", "2026-02-30", "9999-01-01", "2026-03-01", "\x00"):
            answer = self.ask("carrier", on=text)
            assert answer.status_code == 422, text
        self.assertContains(
            self.ask("carrier", on="yesterday"), "yesterday", status_code=422
        )

    def test_both_letters_are_pdfs_of_one_page(self):
        self.charge(50)
        for name, words in (
            ("carrier_letter", "inspect or waive"),
            ("supplier_letter", "stop the clock"),
        ):
            answer = self.page(name, self.hold)
            assert answer["Content-Type"] == "application/pdf"
            pages = PdfReader(BytesIO(answer.content)).pages
            assert len(pages) == 1
            assert words in pages[0].extract_text()

    def test_the_letter_can_be_read_before_it_is_sent(self):
        page = self.page("ask_carrier", self.hold)
        self.assertContains(page, "Deck shell cracked at the left hinge")

    def test_a_one_way_crate_has_no_letter_to_the_supplier(self):
        hold = making.make_packaging_hold(making.make_crate(self.shipment))
        for name in ("ask_supplier", "supplier_asked", "supplier_letter"):
            assert self.page(name, hold).status_code == 404
        page = self.page("packaging_hold", hold)
        self.assertNotContains(page, "stop the clock")
        self.assertContains(page, "no deposit, so no day is counted")

    def test_the_carriers_waiver_comes_with_the_release(self):
        answer = self.send("release_packaging", how="waived", reason="By email.")
        self.assertContains(answer, "written waiver is missing", status_code=422)
        self.assertContains(answer, "By email.", status_code=422)
        paper = SimpleUploadedFile("waiver.jpg", jpeg(), "image/jpeg")
        answer = self.send(
            "release_packaging", how="waived", reason="By email.", photos=paper
        )
        self.assertRedirects(answer, reverse("crate", args=[self.crate.pk]))
        self.hold.refresh_from_db()
        assert self.hold.released_how == "waived"
        assert Evidence.objects.get().kind == "inspection-waiver"

    def test_the_list_of_photos_is_ticked_off(self):
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "Still needed", count=len(NEEDED))
        self.assertContains(page, f"crate={self.crate.pk}&amp;kind=face&amp;next=")
        for need in NEEDED:
            for _ in range(need.count):
                making.make_evidence(
                    shipment=self.shipment, crate=self.crate, kind=need.kind
                )
        page = self.page("packaging_hold", self.hold)
        self.assertNotContains(page, "Still needed")
        self.send(
            "release_packaging",
            how="manager",
            reason="Space.",
            panel_kept="Side panel 2",
        )
        self.hold.refresh_from_db()
        assert self.hold.panel_kept == "Side panel 2"

    def test_a_released_hold_offers_nothing_more(self):
        making.make_evidence(shipment=self.shipment, kind="inspection-report")
        self.send("release_packaging", how="inspected", reason="Inspector came.")
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "Inspector came.")
        self.assertNotContains(page, reverse("ask_carrier", args=[self.hold.pk]))

    def test_the_desks_list_it(self):
        link = reverse("packaging_hold", args=[self.hold.pk])
        self.assertContains(self.client.get(reverse("claims")), link)
        self.client.force_login(self.who.tomas)
        self.assertContains(self.client.get(reverse("bench")), link)
