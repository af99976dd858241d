"""Damage found long after delivery, and a claim that the supplier takes over.

Over HTTP, every form filled in as its page sends it.
"""

import io
import shutil
from datetime import UTC, datetime, timedelta

import pypdf
import pytest
import time_machine
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, TestCase
from django.urls import reverse

from claims.models import Claim, ClaimLetter, Finding, Notice
from tests import making
from tests.journeys.walker import Walker
from tests.people import cast
from tests.pictures import jpeg

pytestmark = [pytest.mark.database, pytest.mark.slow]

CAME = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
"""A Monday. Five business days later is Mon 9 Mar."""

STOOD = "Aisle 3, under roof"


def photo(name):
    return SimpleUploadedFile(f"{name}.jpg", jpeg(colour=(90, 140, 90)), "image/jpeg")


def words_of(pdf):
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


class LateCase(TestCase):
    """A crate that was signed for as clear, with one machine in it."""

    terms = "origin"

    def setUp(self):
        self.addCleanup(shutil.rmtree, settings.EVIDENCE_ROOT, ignore_errors=True)
        self.people = cast()
        bill = making.make_shipment(
            location=self.people.riverside, delivery_terms=self.terms
        )
        truck = making.make_signed_delivery(
            location=self.people.riverside,
            carrier=bill.carrier,
            arrived_at=CAME,
            signed_by=self.people.rosa,
        )
        making.make_handover(truck, bill, words_full="", words_stand_on="")
        self.bill = bill
        self.crate = making.make_crate(bill, delivery=truck, look="clear")
        self.unit = making.make_unit(
            bill, crate=self.crate, serial="TX48-00017", invoice_cents=412_500
        )

    def walker(self, person):
        client = Client()
        client.force_login(person)
        return Walker(client)

    def on(self, days):
        """Return so many days after the truck, at the same hour."""
        return time_machine.travel(CAME + timedelta(days=days, hours=2), tick=False)

    def find(self, days):
        """Open the crate after so many days and record what is broken."""
        tomas = self.walker(self.people.tomas)
        with self.on(days):
            tomas.fill("open_crate", self.crate.pk)
            tomas.fill(
                "inspect_unit",
                self.unit.pk,
                "uncrating",
                crate_condition="sound",
                look_panels="wrong",
                look_leaks="right",
            )
            tomas.fill(
                "record_finding",
                self.bill.pk,
                query=f"?unit={self.unit.pk}&stage=uncrating",
                damage_kind="cracked",
                severity="severe",
                facts="Deck shell cracked at the left hinge, 12 cm.",
                part="deck shell",
                cause="transit",
                repair_minutes="1:30",
                photos=[photo("deck")],
            )
        return Finding.objects.get(unit=self.unit)

    def claim(self, days):
        mina = self.walker(self.people.mina)
        with self.on(days):
            mina.fill("make_claim", self.bill.pk)
        return Claim.objects.get()


class ToldLateTests(LateCase):
    def test_the_custody_is_stated_and_the_argument_stays_on_its_own_sheet(self):
        self.find(14)
        mina = self.walker(self.people.mina)
        with self.on(15):
            mina.fill("write_notice", self.bill.pk, "concealed")
            notice = Notice.objects.get()
            mina.fill("send_notice", notice.pk, how="email")
            page = mina.read("shipment", self.bill.pk)
            assert "late" in page.lower()
        claim = self.claim(16)
        with self.on(16):
            mina.fill(
                "file_facts",
                claim.pk,
                stood_unopened="on",
                stood_at=STOOD,
                stood_moves="Forklift 2, by the receiving clerk, on the day of delivery.",
            )
            mina.fill("build_packet", claim.pk, originals="along")
            mina.fill("send_claim", claim.pk, how="email")
            file = mina.client.get(reverse("packet", args=[claim.packets.get().pk]))
            outside = words_of(file.getvalue())
            refused = mina.client.get(reverse("arguments", args=[claim.pk]))
            mina.fill("counsel", claim.pk, name="Orla Finch", on="2026-03-18")
            sheet = mina.client.get(reverse("arguments", args=[claim.pk]))
            inside = words_of(sheet.content)

        assert "Custody of the crate" in outside
        assert STOOD in outside
        assert "Forklift 2" in outside
        for argument in ("came late", "signed without exceptions", "no bar"):
            assert argument in inside, argument
            assert argument not in outside, argument
        assert refused.status_code == 302
        assert sheet["Content-Type"] == "application/pdf"
        claim.refresh_from_db()
        assert claim.state == "sent"


class HandedOverTests(LateCase):
    terms = "destination"

    def test_the_supplier_takes_the_claim_over_and_nothing_runs_here(self):
        found = self.find(2)
        claim = self.claim(3)
        mina = self.walker(self.people.mina)
        with self.on(3):
            mina.fill("build_packet", claim.pk, originals="along")
            mina.fill("write_claim_letter", claim.pk, "hand-over")
            letter = ClaimLetter.objects.get()
            mina.fill("send_claim_letter", letter.pk, how="email")
        with self.on(4):
            mina.fill(
                "receive_claim_letter",
                letter.pk,
                on="2026-03-06",
                how="answer",
                words="Their claims desk, by email",
                photo=photo("answer"),
            )
            page = mina.read("claim", claim.pk)
            assert "Hand the claim to the supplier" in page
            mina.fill(
                "hand_over_claim",
                claim.pk,
                on="2026-03-06",
                how="email",
                words="Its claims desk",
            )
            page = mina.read("claim", claim.pk)
            desk = mina.read("claims")

        claim.refresh_from_db()
        assert (claim.claimant, claim.state) == ("supplier", "handed-over")
        main = page[page.index("<main") : page.index("</main>")]
        assert "The supplier files it. Nothing to do." in main
        for alarm in ("notice late", "notice running", "state late", "state running"):
            assert alarm not in main, alarm
        assert "Written claim to the carrier" not in desk
        assert reverse("finding", args=[found.pk]) not in desk

        with self.on(30):
            mina.fill("reopen_claim", claim.pk, reason="They signed the authority.")
        claim.refresh_from_db()
        assert claim.state == "drafted"
