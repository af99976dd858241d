"""One damaged crate on its whole way, page after page, as the people walk it."""

import io
import shutil
from zoneinfo import ZoneInfo

import pypdf
import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, TestCase
from django.urls import reverse
from django.utils import timezone

from claims.models import Claim, Finding
from inventory.models import Crate, Delivery, Evidence, Hold, Shipment, Unit
from tests.journeys.walker import Walker
from tests.making import make_carrier, make_supplier
from tests.people import cast
from tests.pictures import jpeg
from tests.verifying import report_now

pytestmark = [pytest.mark.database, pytest.mark.slow]


def picture(shade):
    """Return an upload of a photo unlike those of other shades."""
    return SimpleUploadedFile(
        f"photo-{shade}.jpg", jpeg(colour=(shade, 140, 90)), "image/jpeg"
    )


class FromTruckToPacketTests(TestCase):
    def setUp(self):
        self.addCleanup(shutil.rmtree, settings.EVIDENCE_ROOT, ignore_errors=True)
        self.people = cast()
        self.carrier = make_carrier(name="Plainsway Freight")
        self.supplier = make_supplier(name="Harrow & Tine Works")

    def walker(self, person):
        """Return somebody who is signed in."""
        client = Client()
        client.force_login(person)
        return Walker(client)

    def test_the_whole_way(self):
        today = str(timezone.localdate(timezone=ZoneInfo("America/Chicago")))
        rosa = self.walker(self.people.rosa)
        tomas = self.walker(self.people.tomas)
        mina = self.walker(self.people.mina)

        # A truck comes; its load is photographed before anything moves.
        rosa.read("dock")
        rosa.fill(
            "log_delivery",
            carrier=self.carrier.pk,
            driver_name="Lou Parr",
            photo=picture(10),
        )
        truck = Delivery.objects.get()

        # It brings one freight bill of four crates.
        rosa.fill(
            "add_bill",
            truck.pk,
            pro_number="PRO-440917",
            pieces_billed="4",
            pieces_counted="4",
            supplier=self.supplier.pk,
        )
        bill = Shipment.objects.get()
        crates = list(Crate.objects.order_by("number"))
        assert len(crates) == 4
        rosa.read("tailgate", truck.pk)

        # Crate 2 has a hole in its right side; the other three have no visible damage.
        rosa.fill(
            "look",
            crates[1].pk,
            look="exception",
            where=["side-4"],
            kind="punctured",
            severity="severe",
            note="Fork hole 20 cm, machine cover visible.",
            photos=[picture(20)],
        )
        rosa.press("clear_rest", truck.pk, on=("tailgate", truck.pk))
        assert sorted(Crate.objects.values_list("look", flat=True)) == [
            "clear",
            "clear",
            "clear",
            "exception",
        ]

        # The exceptions name the crate, and the driver signs below them.
        words = rosa.read("sign_receipt", truck.pk)
        assert "punctured" in words.lower()
        rosa.fill(
            "sign_receipt",
            truck.pk,
            how_signed="signed",
            driver_signed_name="Lou Parr",
            words_stand_on="both",
            photo=picture(30),
        )

        # Later the clerk fills in the papers and lists the machine.
        rosa.fill(
            "edit_shipment",
            bill.pk,
            bol_number="BOL-7781",
            bol_on=today,
            origin="Elm Junction, WI",
            billed_weight="3200",
            delivery_terms="origin",
            freight_payer="collect",
            freight_charge_cents="840.00",
            freight_borne_cents="840.00",
            contract_carriage="no",
        )
        rosa.fill(
            "add_unit",
            bill.pk,
            model="TX 48 tiller",
            serial="TX48-00017",
            crate=crates[1].pk,
            invoice_cents="4125.00",
            weight="640",
        )
        unit = Unit.objects.get()

        # The technician opens the crate, looks, and finds the cracked deck shell.
        tomas.read("bench")
        tomas.fill("open_crate", crates[1].pk)
        tomas.fill(
            "inspect_unit",
            unit.pk,
            "uncrating",
            crate_condition="marked",
            look_panels="wrong",
            look_leaks="right",
        )
        tomas.fill(
            "record_finding",
            bill.pk,
            query=f"?unit={unit.pk}&stage=uncrating",
            damage_kind="cracked",
            severity="severe",
            facts="Deck shell cracked at the left hinge, 12 cm.",
            part="deck shell",
            cause="transit",
            repair_minutes="1:30",
            photos=[picture(40)],
            **{
                "parts-TOTAL_FORMS": "4",
                "parts-INITIAL_FORMS": "0",
                "parts-0-name": "Deck shell",
                "parts-0-count": "1",
            },
        )
        found = Finding.objects.get(unit=unit)
        hold = Hold.objects.get(unit=unit)
        assert hold.released_at is None

        # The manager prices it, and releases the hold on the carrier's own waiver.
        part = found.parts.get()
        mina.fill("price_finding", found.pk, **{f"price_{part.pk}": "310.00"})
        mina.fill(
            "release_hold",
            hold.pk,
            how="waived",
            reason="Claims desk waived inspection by letter.",
            photos=[picture(50)],
        )
        hold.refresh_from_db()
        assert hold.released_how == "waived"

        # She makes the claim, sends it, and proves that it was received.
        mina.read("claims")
        mina.fill("make_claim", bill.pk)
        claim = Claim.objects.get()
        line = claim.lines.get(finding=found)
        assert line.repair_cents == 49_750  # 1.5 hours at 125.00, and the part
        mina.fill("send_claim", claim.pk, how="email")
        mina.fill(
            "record_receipt",
            claim.pk,
            on=today,
            words="Automatic answer of their mail server",
            photo=picture(60),
        )
        mina.fill("record_acknowledgement", claim.pk, number="PW-2291")
        claim.refresh_from_db()
        assert (claim.state, claim.carrier_claim_number) == ("acknowledged", "PW-2291")

        # The packet says it all on paper, and its chain holds.
        mina.read("claim", claim.pk)
        mina.fill("build_packet", claim.pk, originals="along")
        answer = mina.client.get(reverse("packet", args=[claim.packets.get().pk]))
        pdf = io.BytesIO(answer.getvalue())
        text = "".join(page.extract_text() for page in pypdf.PdfReader(pdf).pages)
        for said in ("BOL-7781", "440917", claim.number, "497.50"):
            assert said in text, said
        for sha256 in Evidence.objects.values_list("original_id", flat=True):
            assert sha256 in "".join(text.split()), sha256
        assert report_now().first == []
