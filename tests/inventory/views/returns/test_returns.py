"""Returns, through the pages: begun, staged, signed for, received, lost, on paper."""

import hashlib
import uuid
from datetime import UTC, date, datetime
from io import BytesIO
from unittest.mock import patch

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from inventory.actions.core.versions import StaleRowError, change_row
from inventory.actions.returns.papers import store_papers
from inventory.evidence.store.originals import path_of
from inventory.models import CrateReturn, Evidence, ReturnLine, SentDocument
from tests import making
from tests.pictures import jpeg
from tests.returning import begin, make_stage, ready_crate, ship, shipped, stage
from tests.verifying import record

pytestmark = pytest.mark.database

NOW = datetime(2026, 4, 2, 15, 0, tzinfo=UTC)


def words_of(data):
    """Return the text of a PDF, spaces and lines as one space."""
    pages = PdfReader(BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@time_machine.travel(NOW, tick=False)
class Case(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()

    def setUp(self):
        self.client.force_login(self.book.who.rosa)

    def send(self, name, pk, **data):
        return self.client.post(reverse(name, args=[pk]), data)


@time_machine.travel(NOW, tick=False)
class TestStaging(Case):
    def test_a_return_is_begun_and_crates_are_staged(self):
        answer = self.client.post(
            reverse("make_return"), {"supplier": self.book.supplier.pk}
        )
        row = CrateReturn.objects.get()
        self.assertRedirects(answer, reverse("stage_crates", args=[row.pk]))
        chosen = [crate.pk for crate in self.book.crates[:2]]
        answer = self.client.post(
            reverse("stage_crates", args=[row.pk]), {"crates": chosen}, follow=True
        )
        self.assertRedirects(answer, reverse("crate_return", args=[row.pk]))
        self.assertContains(answer, "2 crates staged")
        assert row.lines.count() == 2

    def test_what_was_typed_comes_back(self):
        answer = self.client.post(
            reverse("make_return"),
            {
                "supplier": "",
                "planned_on": "31.12.2026",
                "appointment": "Dock 3 at <b>ten</b>",
            },
        )
        assert answer.status_code == 422
        self.assertContains(answer, "Choose one.", status_code=422)
        self.assertContains(answer, "31.12.2026", status_code=422)
        self.assertContains(answer, "Dock 3 at &lt;b&gt;ten&lt;/b&gt;", status_code=422)

    def test_a_crate_that_is_not_ready_cannot_be_chosen(self):
        row = begin(self.book)
        other = making.make_reusable(self.book.shipment)
        for bad in (other.pk, "x", "9" * 30, ""):
            answer = self.send("stage_crates", row.pk, crates=[bad])
            assert answer.status_code == 422, bad

    def test_without_a_ready_crate_the_page_says_what_to_do(self):
        row = begin(self.book)
        stage(self.book, row)
        answer = self.client.get(reverse("stage_crates", args=[row.pk]))
        self.assertContains(answer, "Empty and check crates first")
        self.assertNotContains(answer, 'name="act"')

    def test_a_crate_is_taken_off_with_a_reason(self):
        row = begin(self.book)
        line = stage(self.book, row)[0]
        answer = self.send("take_off_crate", line.pk, version=1, reason="")
        assert answer.status_code == 422
        self.send("take_off_crate", line.pk, version=1, reason="Wet")
        line.refresh_from_db()
        assert line.is_taken_off

    def test_the_plan_is_changed_and_a_stale_page_is_told(self):
        row = begin(self.book)
        told = {"version": row.version, "authorization": "RA-9"}
        self.assertRedirects(
            self.send("edit_return", row.pk, **told),
            reverse("crate_return", args=[row.pk]),
        )
        answer = self.send("edit_return", row.pk, **{**told, "authorization": "RA-8"})
        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )
        row.refresh_from_db()
        assert row.authorization == "RA-9"

    def test_a_return_is_cancelled(self):
        row = begin(self.book)
        stage(self.book, row)
        self.send("cancel_return", row.pk, version=row.version, reason="No truck")
        row.refresh_from_db()
        assert row.state == "cancelled"
        page = self.client.get(reverse("crate_return", args=[row.pk]))
        self.assertContains(page, "No crate is staged on it.")

    def test_no_money_is_shown_to_the_clerk(self):
        row = shipped(self.book)
        page = self.client.get(reverse("crate_return", args=[row.pk]))
        self.assertNotContains(page, "$120.00")
        self.client.force_login(self.book.who.abel)
        page = self.client.get(reverse("crate_return", args=[row.pk]))
        self.assertContains(page, "$120.00")

    def test_the_trailer_asked_for_is_planned(self):
        kind = self.book.crate_type
        kind.length_mm, kind.width_mm, kind.height_mm = 1_000, 1_000, 1_200
        kind.save()
        row = begin(self.book)
        stage(self.book, row)
        url = reverse("crate_return", args=[row.pk])
        page = self.client.get(
            url, {"length": "1500", "width": "1000", "height": "1300"}
        )
        self.assertContains(
            page, "1 fit on 3 ft 3 in of the 4 ft 11 in floor; 2 do not fit"
        )
        self.assertContains(page, "Inside length, in")
        inches = {"unit": "in", "length": "59", "width": "39 3/8", "height": "51 1/4"}
        page = self.client.get(url, inches)
        self.assertContains(page, "of the 4 ft 11 in floor; 2 do not fit")
        self.assertContains(page, 'value="39 3/8"')
        for bad in ("", "x", "-1", "9" * 40, "１０００", "1e9"):
            page = self.client.get(url, {"length": bad})
            self.assertContains(page, "of the 52 ft 6 in floor")


@time_machine.travel(NOW, tick=False)
class TestLeaving(Case):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.row = begin(cls.book)
        stage(cls.book, cls.row)
        cls.row.refresh_from_db()

    def told(self, **over):
        values = {
            "version": self.row.version,
            "left_on": "2026-04-01",
            "billed_on": "2026-04-01",
            "carrier": self.book.carrier.pk,
            "driver_name": "Lou Parr",
            "driver_count": "3",
            "how_signed": "signed",
        }
        return {**values, **over}

    def test_the_driver_signs_and_photos_are_kept_with_the_return(self):
        photo = SimpleUploadedFile("load.jpg", jpeg(), "image/jpeg")
        answer = self.send("ship_return", self.row.pk, **self.told(photos=[photo]))
        self.assertRedirects(answer, reverse("crate_return", args=[self.row.pk]))
        self.row.refresh_from_db()
        assert (self.row.state, self.row.driver_count) == ("shipped", 3)
        kept = Evidence.objects.get()
        assert (kept.crate_return, kept.kind) == (self.row, "load")
        page = self.client.get(answer.url)
        self.assertContains(page, f"Empties of {self.row} as loaded")

    def test_photos_are_added_to_a_return_alone(self):
        url = reverse("add_evidence")
        asked = {"crate_return": self.row.pk, "kind": "load"}
        page = self.client.get(reverse("crate_return", args=[self.row.pk]))
        self.assertContains(page, f"{url}?crate_return={self.row.pk}")
        assert self.client.get(url, asked).status_code == 200
        bill = {"shipment": self.book.shipment.pk}
        assert self.client.get(url, asked | bill).status_code == 400
        answer = self.client.post(
            f"{url}?crate_return={self.row.pk}",
            {
                "client_id": str(uuid.uuid4()),
                "kind": "load",
                "photos": [SimpleUploadedFile("a.jpg", jpeg(), "image/jpeg")],
            },
        )
        self.assertRedirects(answer, reverse("crate_return", args=[self.row.pk]))
        assert Evidence.objects.get().crate_return == self.row
        self.client.force_login(self.book.who.nell)
        assert self.client.get(url, asked).status_code == 404

    def test_a_difference_of_count_is_shown_and_stops_nothing(self):
        answer = self.send("ship_return", self.row.pk, **self.told(driver_count="2"))
        page = self.client.get(answer.url)
        self.assertContains(page, "The driver signed for 2; we list 3.")
        self.row.refresh_from_db()
        assert self.row.state == "shipped"

    def test_a_signature_has_a_count(self):
        answer = self.send("ship_return", self.row.pk, **self.told(driver_count=""))
        self.assertContains(
            answer, "Enter the count that the driver signed for.", status_code=422
        )
        answer = self.send(
            "ship_return",
            self.row.pk,
            **self.told(driver_count="", how_signed="dropped"),
        )
        assert answer.status_code == 302

    @pytest.mark.filterwarnings("default")
    def test_bad_input_is_refused_and_nothing_ships(self):
        for over in (
            {"left_on": "2026-04-03"},
            {"left_on": "2026-02-30"},
            {"left_on": "1.4.26"},
            {"billed_on": "2026-04-02", "left_on": "2026-04-01"},
            {"driver_count": "-1"},
            {"driver_count": "２"},
            {"driver_count": str(2**63)},
            {"driver_name": "x" * 81},
            {"how_signed": "nobody"},
            {"carrier": "9" * 30},
            {"freight_cents": "NaN"},
            {"supplier_bills_freight": "on"},
        ):
            with self.subTest(over=over):
                answer = self.send("ship_return", self.row.pk, **self.told(**over))
                assert answer.status_code == 422
        self.row.refresh_from_db()
        assert self.row.state == "staging"

    def test_a_second_shipping_is_refused(self):
        told = self.told()
        self.send("ship_return", self.row.pk, **told)
        answer = self.send("ship_return", self.row.pk, **told)
        self.assertContains(answer, "was already shipped", status_code=422)

    def test_a_truck_of_another_dock_is_not_offered(self):
        far = making.make_delivery(location=self.book.who.hillcrest)
        url = reverse("ship_return", args=[self.row.pk])
        assert self.client.get(url, {"delivery": far.pk}).status_code == 404
        answer = self.send("ship_return", self.row.pk, **self.told(delivery=far.pk))
        assert answer.status_code == 422


@time_machine.travel(NOW, tick=False)
class TestTruckAtTheDock(Case):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        carrier = making.make_carrier(mode="supplier-truck", name="Own truck")
        cls.truck = making.make_delivery(
            location=cls.book.location,
            carrier=carrier,
            arrived_at=NOW,
            arrived_on=date(2026, 4, 2),
            driver_name="Perrin Vale",
        )
        making.make_handover(
            cls.truck,
            making.make_shipment(
                location=cls.book.location,
                carrier=carrier,
                supplier=cls.book.supplier,
            ),
        )
        cls.row = begin(cls.book, carrier=None)
        stage(cls.book, cls.row)

    def test_the_clerk_sees_the_empties_staged_for_the_suppliers_truck(self):
        for name in ("tailgate", "delivery"):
            page = self.client.get(reverse(name, args=[self.truck.pk]))
            self.assertContains(page, "Empty crates for this truck")
            self.assertContains(page, self.row.number)
            self.assertContains(page, f"3 {self.book.crate_type.name}")
            url = reverse("ship_return", args=[self.row.pk])
            self.assertContains(page, f"{url}?delivery={self.truck.pk}")

    def test_logging_the_truck_leads_to_its_empties(self):
        answer = self.client.post(
            reverse("log_delivery"),
            {
                "client_id": str(uuid.uuid4()),
                "carrier": "",
                "carrier_name": self.book.supplier.name,
                "arrived_at": "2026-04-02 09:50",
                "unloaded_by": "us",
            },
            follow=True,
        )
        # A carrier just named is no supplier's truck yet: its mode is not known.
        self.assertNotContains(answer, self.row.number)
        self.truck.carrier.name = self.book.supplier.name.upper()
        self.truck.carrier.save()
        answer = self.client.post(
            reverse("log_delivery"),
            {
                "client_id": str(uuid.uuid4()),
                "carrier": self.truck.carrier_id,
                "arrived_at": "2026-04-02 09:55",
                "unloaded_by": "us",
            },
            follow=True,
        )
        self.assertContains(answer, "Staged for this truck: 3 empty crates.")
        self.assertContains(answer, self.row.number)

    def test_the_form_knows_the_truck_and_its_driver(self):
        url = reverse("ship_return", args=[self.row.pk])
        page = self.client.get(url, {"delivery": self.truck.pk})
        self.assertContains(page, 'value="Perrin Vale"')
        self.assertContains(page, f'<option value="{self.truck.pk}" selected>')

    def test_after_it_left_the_truck_shows_the_count(self):
        ship(
            self.book,
            self.row,
            carrier=self.truck.carrier,
            delivery=self.truck,
            driver_count=3,
            how_signed="signed",
        )
        page = self.client.get(reverse("delivery", args=[self.truck.pk]))
        self.assertContains(page, "Shipped on this truck")
        self.assertContains(page, "The driver signed for 3.")

    def test_another_suppliers_truck_shows_none_of_them(self):
        truck = making.make_delivery(location=self.book.location)
        page = self.client.get(reverse("tailgate", args=[truck.pk]))
        self.assertNotContains(page, self.row.number)

    def test_a_technician_sees_them_but_lets_nothing_leave(self):
        self.client.force_login(self.book.who.tomas)
        page = self.client.get(reverse("delivery", args=[self.truck.pk]))
        self.assertContains(page, self.row.number)
        self.assertNotContains(page, reverse("ship_return", args=[self.row.pk]))


@time_machine.travel(NOW, tick=False)
class TestArrival(Case):
    def test_its_receipt_is_recorded(self):
        row = shipped(self.book)
        row.refresh_from_db()
        answer = self.send(
            "receive_return", row.pk, version=row.version, received_on="2026-04-02"
        )
        assert answer.status_code == 302
        row.refresh_from_db()
        assert row.state == "received"

    def test_a_day_before_it_left_is_told(self):
        row = shipped(self.book)
        row.refresh_from_db()
        answer = self.send(
            "receive_return", row.pk, version=row.version, received_on="2026-03-31"
        )
        self.assertContains(answer, "before the return was shipped", status_code=422)

    def test_accounting_records_a_loss(self):
        row = shipped(self.book)
        line = ReturnLine.objects.filter(crate_return=row).first()
        self.client.force_login(self.book.who.abel)
        told = {"version": line.version, "lost_on": "2026-04-02", "reason": "Two came."}
        answer = self.send("lose_crate", line.pk, **told)
        assert answer.status_code == 302
        line.crate.refresh_from_db()
        assert line.crate.state == "lost"


@time_machine.travel(NOW, tick=False)
class TestPapers(Case):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        kind = cls.book.crate_type
        kind.name, kind.tare_weight, kind.code = "Panel <crate>", "212.5", "PC-60"
        kind.length_mm, kind.width_mm, kind.height_mm = 1_956, 1_334, 1_219
        kind.nested_height_mm, kind.most_stacked = 318, 4
        kind.freight_class = "150"
        kind.save()
        cls.row = shipped(
            cls.book, driver_name="Lou & Parr", driver_count=2, how_signed="signed"
        )

    def pdf(self, name, **asked):
        answer = self.client.get(reverse(name, args=[self.row.pk]), asked)
        assert answer["Content-Type"] == "application/pdf"
        return words_of(answer.content)

    def test_the_bill_counts_and_weighs(self):
        words = self.pdf("return_bol")
        for said in (
            "Bill of lading for returned empties",
            self.row.number,
            self.book.supplier.name,
            "Panel <crate> (PC-60)",
            "637.5 lb",
            "Lou & Parr",
            "The driver signed for 2; we list 3.",
            "150 6 ft 5 in, 4 ft 5 in, 4 ft 212.5 lb 637.5 lb",
            "Where the carrier issues its own bill of lading, that bill",
            "Strapping. Cover eyes and hands",
        ):
            assert said in words, said

    def test_the_list_names_each_crate_and_its_stacks(self):
        words = self.pdf("return_packing_list")
        for crate in self.book.crates:
            assert crate.mark in words
        # 1,219 + 2 x 318 mm: three nested on one another.
        assert "6 ft 1 in" in words
        assert "All 3 fit on 4 ft 5 in of the 52 ft 6 in floor." in words

    def test_where_the_dock_measures_in_meters_the_papers_do(self):
        here = self.row.location
        here.length_unit = "m"
        here.save()
        self.row = self.staged()
        assert "1.96 m, 1.33 m, 1.22 m" in self.pdf("return_bol")
        words = self.pdf("return_packing_list")
        assert "1.86 m" in words
        assert "All 3 fit on 1.33 m of the 16.00 m floor." in words
        rounded = "Lengths are to the centimeter, halves up."
        assert rounded in words
        page = self.client.get(reverse("crate_return", args=[self.row.pk]))
        self.assertContains(page, "All 3 fit on 1.33 m of the 16.00 m floor.")
        self.assertContains(page, rounded)

    def test_the_bill_names_who_pays_the_freight(self):
        self.row = self.staged()
        terms = self.book.supplier.terms.get()
        payer = (
            self.row.location if terms.return_freight == "us" else self.book.supplier
        )
        assert f"Bill the freight to {payer.name}" in self.pdf("return_bol")

        self.row.bill_to = "Third Party Pay\n9 Ledger Lane\n"
        self.row.save()
        said = "Bill the freight to Third Party Pay, 9 Ledger Lane"
        assert said in self.pdf("return_bol")

    def test_the_file_says_the_day_on_which_it_was_frozen(self):
        data = self.client.get(reverse("return_bol", args=[self.row.pk])).content
        kept = SentDocument.objects.get(kind="bill-of-lading")
        day = kept.made_at.astimezone(self.row.location.zone).date()
        assert PdfReader(BytesIO(data)).metadata.creation_date.date() == day

    def staged(self):
        """Begin another return, with crates that are still here."""
        row = begin(self.book)
        stage(self.book, row, [ready_crate(self.book) for _ in range(3)])
        return row

    def test_the_list_plans_for_the_trailer_that_comes(self):
        self.row = self.staged()
        words = self.pdf(
            "return_packing_list", length="6000", width="2400", height="1300"
        )
        assert "19 ft 8 in by 7 ft 10 in inside" in words
        assert "All 3 fit on 13 ft 2 in of the 19 ft 8 in floor." in words

    def test_the_same_paper_has_the_same_bytes(self):
        url = reverse("return_bol", args=[self.row.pk])
        assert self.client.get(url).content == self.client.get(url).content

    def test_a4_is_printed_where_the_dock_prints_a4(self):
        self.book.location.paper = "a4"
        self.book.location.save()
        self.row = self.staged()
        answer = self.client.get(reverse("return_bol", args=[self.row.pk]))
        box = PdfReader(BytesIO(answer.content)).pages[0].mediabox
        assert (round(box.width), round(box.height)) == (595, 842)

    def test_what_went_out_is_given_ever_after_and_never_drawn_again(self):
        urls = [
            reverse(name, args=[self.row.pk])
            for name in ("return_bol", "return_packing_list")
        ]
        before = [self.client.get(url).content for url in urls]
        self.book.supplier.name = "Another name"
        self.book.supplier.save()
        self.book.crate_type.name = "Another type"
        self.book.crate_type.save()

        with patch("inventory.documents.papers.returns.return_paper_pdf") as draw:
            after = [self.client.get(url, {"length": "6000"}).content for url in urls]

        draw.assert_not_called()
        assert after == before
        kept = SentDocument.objects.filter(noun="cratereturn", key=str(self.row.pk))
        assert [row.kind for row in kept] == ["bill-of-lading", "packing-list"]
        for row, data in zip(kept, before, strict=True):
            assert row.original_id == hashlib.sha256(data).hexdigest()
            assert (row.made_by, row.location) == (
                self.book.who.rosa,
                self.book.location,
            )

    def test_the_stack_plan_goes_out_as_it_was_made_for_the_trailer(self):
        row = self.staged()
        page = self.client.get(
            reverse("crate_return", args=[row.pk]), {"length": "6000"}
        )
        url = reverse("ship_return", args=[row.pk])
        self.assertContains(page, f"{url}?length=6000")
        answer = self.client.post(
            f"{url}?length=6000&width=2591&height=2790",
            {
                "version": row.version,
                "left_on": "2026-04-02",
                "billed_on": "2026-04-02",
                "carrier": self.book.carrier.pk,
                "how_signed": "signed",
                "driver_count": "3",
            },
        )
        assert answer.status_code == 302, answer.content.decode()
        self.row = row
        assert "19 ft 8 in by" in self.pdf("return_packing_list")

    def test_a_lost_paper_is_said_to_be_lost(self):
        sent = SentDocument.objects.get(kind="bill-of-lading")
        path = path_of(sent.original_id)
        self.addCleanup(path.write_bytes, path.read_bytes())
        path.unlink()
        answer = self.client.get(reverse("return_bol", args=[self.row.pk]))
        assert answer.status_code == 404
        self.assertContains(answer, "not drawn again", status_code=404)

    def meanwhile(self, act):
        """Let somebody do this right after the papers of a return were drawn."""

        def store_then_act(*given, **more):
            papers = store_papers(*given, **more)
            act()
            return papers

        return patch("inventory.actions.returns.shipping.store_papers", store_then_act)

    def test_crates_staged_after_the_papers_were_drawn_stop_the_shipping(self):
        row = self.staged()
        late = ready_crate(self.book)
        staging = self.meanwhile(lambda: stage(self.book, row, [late]))
        with staging, pytest.raises(StaleRowError):
            ship(self.book, row)
        row.refresh_from_db()
        assert row.state == "staging"
        assert not SentDocument.objects.filter(key=str(row.pk)).exists()

    def test_a_word_changed_after_the_papers_were_drawn_stops_the_shipping(self):
        row = self.staged()
        supplier = row.supplier

        def move():
            change_row(supplier, version=supplier.version, address="9 New Dock Road")
            record(1)

        with self.meanwhile(move), pytest.raises(StaleRowError):
            ship(self.book, row)
        row.refresh_from_db()
        assert row.state == "staging"
        assert not SentDocument.objects.filter(key=str(row.pk)).exists()

    def test_what_is_not_on_the_papers_may_change_meanwhile(self):
        row = self.staged()
        with self.meanwhile(lambda: record(1)):
            ship(self.book, row)
        row.refresh_from_db()
        assert row.state == "shipped"


@time_machine.travel(NOW, tick=False)
class TestTheList(Case):
    def test_it_can_be_narrowed_and_any_other_word_narrows_nothing(self):
        row = shipped(self.book, self.book.crates[:1])
        waiting = begin(self.book)
        url = reverse("returns")
        page = self.client.get(url, {"which": "shipped"})
        self.assertContains(page, row.number)
        self.assertNotContains(page, waiting.number)
        page = self.client.get(url, {"which": "<script>", "page": "9" * 30})
        self.assertContains(page, waiting.number)

    def test_a_late_memo_is_told(self):
        shipped(self.book, self.book.crates[:1])
        with time_machine.travel(datetime(2026, 5, 10, 15, 0, tzinfo=UTC)):
            self.client.force_login(self.book.who.rosa)
            page = self.client.get(reverse("returns"))
        self.assertContains(page, "9 days late")
