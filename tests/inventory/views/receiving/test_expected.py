"""Expected bills: entered, imported, taken over at the dock, compared."""

from datetime import UTC, datetime
from io import BytesIO

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse
from openpyxl import Workbook

from claims.actions.receiving.withdrawals import withdraw_bill
from inventory.models import (
    Crate,
    Delivery,
    Event,
    ExpectedCrate,
    ExpectedDelivery,
    Handover,
)
from tests.inventory.views.memos.test_memos import bomb, laughs
from tests.making import make_carrier, make_delivery, make_expected, make_supplier
from tests.people import cast

pytestmark = pytest.mark.database

NOW = datetime(2026, 3, 10, 16, 0, tzinfo=UTC)
HEADER = "PRO,BOL,Carrier,Expected,Mark,Model,Pieces,Reusable"


class Case(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.carrier = make_carrier(name="Gannet Overland")
        cls.supplier = make_supplier(name="Harrow & Tine Works")

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def expected(self, **over):
        values = {"location": self.who.riverside, "supplier": self.supplier}
        return make_expected(**{**values, **over})


@time_machine.travel(NOW, tick=False)
class TestByHand(Case):
    def send(self, **over):
        data = {
            "supplier": self.supplier.pk,
            "carrier": self.carrier.pk,
            "pro_number": "PRO 77-1",
            "expected_on": "2026-03-11",
            "pieces": "3",
            "kind": "reusable",
            "marks": "2f0416/6\n\n2F0417/1",
        }
        return self.client.post(reverse("add_expected"), {**data, **over})

    def test_a_bill_is_announced_with_its_marks(self):
        answer = self.send()

        row = ExpectedDelivery.objects.get()
        self.assertRedirects(answer, reverse("expected"))
        assert (row.pro_number, row.made_by) == ("77-1", self.who.rosa)
        lines = list(row.crates.values_list("mark", "pieces", "kind"))
        assert lines == [
            ("2F0416/6", 1, "reusable"),
            ("2F0417/1", 1, "reusable"),
            ("", 1, "reusable"),
        ]
        event = Event.objects.get(kind="expected.announced")
        assert (event.data["count"], event.data["crates"]) == (1, 3)

    def test_what_is_missing_is_asked_for_with_what_was_typed(self):
        for over, words in (
            ({"pro_number": "", "bol_number": ""}, "Enter the PRO number or the bill"),
            ({"pieces": "1"}, "There are 2 marks."),
            ({"marks": "M-1\nm 1"}, "M-1 is there twice."),
            ({"expected_on": "2036-03-11"}, "more than two years off"),
            ({"supplier": ""}, "Choose one"),
        ):
            answer = self.send(**over)
            self.assertContains(answer, words, status_code=422)
        assert not ExpectedDelivery.objects.exists()

    def test_the_same_bill_twice_is_refused(self):
        self.send()
        answer = self.send(marks="")
        self.assertContains(answer, "is expected already", status_code=422)
        assert ExpectedDelivery.objects.count() == 1

    def test_it_is_taken_back_with_a_reason_and_its_number_is_free(self):
        self.send()
        row = ExpectedDelivery.objects.get()
        url = reverse("withdraw_expected", args=[row.pk])
        self.client.post(url, {"version": "1", "reason": "Order canceled."})
        again = self.client.post(url, {"version": "1", "reason": "x"}, follow=True)

        self.assertContains(again, "taken back already")
        self.assertContains(again, "Reason: Order canceled.")
        assert not ExpectedDelivery.objects.exists()
        self.send()
        assert ExpectedDelivery.objects.count() == 1

    def test_the_lines_are_append_only(self):
        self.send()
        with pytest.raises(IntegrityError), transaction.atomic():
            ExpectedCrate.objects.update(mark="CHANGED")


def csv_of(*rows, header=HEADER):
    text = "\n".join([header, *rows])
    return SimpleUploadedFile("notice.csv", text.encode(), "text/csv")


def xlsx_of(*rows):
    book = Workbook()
    for row in (HEADER.split(","), *rows):
        book.active.append(row)
    out = BytesIO()
    book.save(out)
    return SimpleUploadedFile("notice.xlsx", out.getvalue(), "application/vnd.ms")


GOOD = "77-1,B-9,Gannet Overland,2026-03-11,2F0416/6,TX 48,1,yes"


@time_machine.travel(NOW, tick=False)
class TestImport(Case):
    def load(self, sheet, **over):
        data = {"supplier": self.supplier.pk, "order": "mdy", "sheet": sheet}
        return self.client.post(reverse("import_expected"), {**data, **over})

    def test_the_preview_shows_the_fate_of_each_row_and_saves_nothing(self):
        self.expected(pro_number="88")
        answer = self.load(
            csv_of(
                GOOD,
                "88,,,2026-03-12,M-1,,,",
                "99,,Unknown Line,2026-03-12,M-2,,,",
                "66,,,soon,M-3,,,",
            )
        )

        fates = [(one.row, one.state) for one in answer.context["fates"]]
        assert fates == [(2, "new"), (3, "there"), (4, "refused"), (5, "refused")]
        for words in (
            "Nothing is saved.",
            "1 freight bill, 1 crate",
            "It is expected already.",
            "Carrier Unknown Line is not on the list.",
            "Its date, soon, is no day.",
        ):
            self.assertContains(answer, words)
        assert ExpectedDelivery.objects.count() == 1

    def test_only_what_was_shown_is_imported_and_once(self):
        answer = self.load(csv_of(GOOD, "66,,,soon,M-3,,,"))
        form = answer.context["form"]
        data = {"signed": form.initial["signed"], "once": str(form.once_id)}
        for _ in range(2):
            done = self.client.post(reverse("import_expected"), data)
            assert done.url == reverse("expected")

        row = ExpectedDelivery.objects.get()
        assert (row.carrier, row.file_name) == (self.carrier, "notice.csv")
        assert row.crates.get().file_row == 2

    def test_what_comes_back_changed_is_refused(self):
        signed = self.load(csv_of(GOOD)).context["form"].initial["signed"]
        for bad in (signed[:-2] + "zz", "", "x", signed.replace(":", "")):
            answer = self.client.post(reverse("import_expected"), {"signed": bad})
            self.assertContains(answer, "damaged on the way", status_code=422)
        assert not ExpectedDelivery.objects.exists()

    def test_a_preview_of_another_dock_is_refused(self):
        signed = self.load(csv_of(GOOD)).context["form"].initial["signed"]
        self.client.force_login(self.who.nell)
        answer = self.client.post(reverse("import_expected"), {"signed": signed})
        self.assertContains(answer, "damaged on the way", status_code=422)

    def test_a_workbook_is_read_with_its_dates_and_numbers(self):
        row = (7711, "B-9", "", datetime(2026, 3, 12), "M-1", "TX", 1, "no")  # noqa: DTZ001
        answer = self.load(xlsx_of(row))
        (bill,) = answer.context["new"]
        assert (bill.pro, str(bill.expected_on)) == ("7711", "2026-03-12")

    def test_nothing_new_offers_no_import(self):
        answer = self.load(csv_of("66,,,soon,M-3,,,"))
        self.assertContains(answer, "There is nothing new to import.")
        assert answer.context["form"] is None

    def test_files_that_are_no_notice_are_refused_in_one_sentence(self):
        broken = {
            "empty": (b"", "The file is empty"),
            "no text": (b"\x00\x01\x02\x00" * 9, "bytes that are not text"),
            "latin": ("PRO,Mark\nRÖ,5".encode("cp1252"), "neither UTF-8"),
            "old": (b"\xd0\xcf\x11\xe0" + b"0" * 90, "old XLS kind"),
            "zip": (b"PK\x03\x04" + b"0" * 90, "workbook cannot be read"),
            "header": (b"a,b\n1,2\n", "The columns do not match a ship notice"),
            "large": (b"PRO,Mark\n" + b"A,1\n" * 600_000, "larger than 2 MB"),
            "many": (b"PRO,Mark\n" + b"A,1\n" * 6_000, "more than 5,000 rows"),
            "quote": (b'PRO,Mark\n"A,1\n', "quotation mark"),
            "bomb": (bomb(), "far larger inside"),
            "laughs": (laughs(), "cannot be read"),
        }
        for name, (data, words) in broken.items():
            with self.subTest(file=name):
                answer = self.load(SimpleUploadedFile("n.csv", data, "text/csv"))
                self.assertContains(answer, words, status_code=422)
        assert not ExpectedDelivery.objects.exists()

    def test_a_formula_is_never_run(self):
        row = ("77", "", "", "2026-03-12", "", "TX", "=1+2", "")
        answer = self.load(xlsx_of(row))
        assert [bill.pieces for bill in answer.context["new"]] == [1]


@time_machine.travel(NOW, tick=False)
class TestArriving(Case):
    def bill(self, truck, row=None, **over):
        url = reverse("add_bill", args=[truck.pk])
        url += f"?expected={row.pk}" if row else ""
        data = {
            "pro_number": row.pro_number if row else "NEW-1",
            "pieces_billed": "2",
            "piece_unit": "crate",
            "pieces_counted": "2",
            "crate_kind": "one-way",
            "marks": ["2F0416/6", "2F0417/1"],
        }
        return self.client.post(url, {**data, **over})

    def truck(self, **over):
        return make_delivery(carrier=self.carrier, **over)

    def test_the_dock_offers_what_this_truck_may_bring(self):
        mine = self.expected(carrier=self.carrier)
        any_line = self.expected()
        self.expected(carrier=make_carrier())
        self.expected(expected_on=datetime(2026, 4, 1, tzinfo=UTC).date())
        self.expected(location=self.who.hillcrest)
        page = self.client.get(reverse("add_bill", args=[self.truck().pk]))

        assert page.context["offered"] == [mine, any_line]
        self.assertContains(page, f"&amp;expected={mine.pk}")

    def test_the_form_starts_with_the_announcement_and_an_empty_count(self):
        row = self.expected()
        url = reverse("add_bill", args=[self.truck().pk])
        form = self.client.get(f"{url}?expected={row.pk}").context["form"]

        assert form["pro_number"].value() == row.pro_number
        assert form["pieces_billed"].value() == 2
        assert not form["pieces_counted"].value()
        assert form["marks"].value() == ["2F0416/6", "2F0417/1"]
        assert self.client.get(f"{url}?expected=99").status_code == 404
        assert self.client.get(f"{url}?expected=x").status_code == 404

    def test_the_bill_takes_over_supplier_bol_and_marks(self):
        row = self.expected()
        answer = self.bill(self.truck(), row, supplier="")

        assert answer.status_code == 302
        bill = Handover.objects.get().shipment
        row.refresh_from_db()
        assert row.shipment == bill
        assert (bill.supplier, bill.bol_number) == (self.supplier, "BOL-9912")
        assert [crate.mark for crate in bill.crates.order_by("number")] == [
            "2F0416/6",
            "2F0417/1",
        ]

    def test_an_unticked_mark_is_missing_and_another_is_extra(self):
        row = self.expected()
        self.bill(self.truck(), row, marks=["2F0417/1"])
        Crate.objects.filter(mark="").update(mark="9X/1")

        page = self.client.get(reverse("expected_delivery", args=[row.pk]))

        came = page.context["came"]
        assert (came.missing, came.extra) == (("2F0416/6",), ("9X/1",))
        assert came.days_late == -1
        self.assertContains(page, "before its day")

    def test_more_marks_than_crates_are_refused(self):
        row = self.expected()
        answer = self.bill(self.truck(), row, crates="1")
        self.assertContains(
            answer,
            "More marks are ticked (2) than crates are listed (1).",
            status_code=422,
        )
        assert not Handover.objects.exists()

    def test_it_arrives_once_and_waits_again_where_the_bill_is_taken_back(self):
        row = self.expected()
        first = self.truck()
        self.bill(first, row)
        again = self.bill(self.truck(), row, pro_number="OTHER")
        self.assertContains(again, "has arrived already", status_code=422)

        handover = Handover.objects.get()
        withdraw_bill(
            person=self.who.rosa,
            at=NOW,
            handover=handover,
            version=handover.version,
            reason="Wrong truck.",
        )

        row.refresh_from_db()
        assert row.shipment is None
        assert self.bill(self.truck(), row).status_code == 302

    def test_it_is_of_this_carrier_only(self):
        row = self.expected(carrier=make_carrier())
        answer = self.bill(self.truck(), row)
        self.assertContains(answer, "from another carrier", status_code=422)


@time_machine.travel(NOW, tick=False)
class TestLoggingATruckWithIt(Case):
    def address(self, row=None):
        place = self.who.riverside.pk
        key = f"&expected={row.pk}" if row else ""
        return f"{reverse('log_delivery')}?location={place}{key}"

    def log(self, row, **over):
        data = {
            "carrier": str(self.carrier.pk),
            "arrived_at": "2026-03-10T08:00",
            "pro_number": row.pro_number,
            "pieces_billed": "2",
            "marks": ["2F0416/6", "2F0417/1"],
        }
        return self.client.post(self.address(row), {**data, **over})

    def test_every_bill_of_the_dock_is_offered_whatever_its_carrier(self):
        mine = self.expected(carrier=self.carrier)
        other = self.expected(carrier=make_carrier())
        self.expected(expected_on=datetime(2026, 4, 1, tzinfo=UTC).date())
        self.expected(location=self.who.hillcrest)
        page = self.client.get(self.address())

        assert page.context["offered"] == [mine, other]
        chooses = self.address(other).replace("&", "&amp;")
        self.assertContains(page, f'href="{chooses}"')

    def test_the_one_chosen_fills_carrier_number_pieces_and_marks(self):
        row = self.expected(carrier=self.carrier)
        page = self.client.get(self.address(row))
        form = page.context["form"]

        assert form["carrier"].value() == self.carrier.pk
        assert form["pro_number"].value() == row.pro_number
        assert form["pieces_billed"].value() == 2
        assert form["supplier"].value() == row.supplier_id
        assert form["marks"].value() == ["2F0416/6", "2F0417/1"]
        self.assertContains(page, "Announced.")
        assert self.client.get(f"{self.address()}&expected=99").status_code == 404

    def test_truck_bill_marks_and_supplier_are_one_save(self):
        row = self.expected(carrier=self.carrier)
        answer = self.log(row)

        handover = Handover.objects.get()
        bill = handover.shipment
        row.refresh_from_db()
        self.assertRedirects(answer, reverse("tailgate", args=[handover.delivery_id]))
        assert handover.pieces_counted is None
        assert (bill.supplier, row.shipment) == (row.supplier, bill)
        marks = bill.crates.order_by("number").values_list("mark", flat=True)
        assert list(marks) == ["2F0416/6", "2F0417/1"]

    def test_a_mark_unticked_is_not_given(self):
        self.log(self.expected(), marks=["2F0417/1"])

        bill = Handover.objects.get().shipment
        marks = bill.crates.order_by("number").values_list("mark", flat=True)
        assert list(marks) == ["2F0417/1", ""]

    def test_a_bill_of_another_carrier_leaves_no_truck(self):
        row = self.expected(carrier=make_carrier())
        answer = self.log(row)

        self.assertContains(answer, "Nothing was saved", status_code=422)
        assert not Delivery.objects.exists()

    def test_the_number_of_a_chosen_bill_is_asked_for(self):
        answer = self.log(self.expected(), pro_number="")

        self.assertContains(answer, "Enter the PRO number", status_code=422)
        assert not Delivery.objects.exists()


@time_machine.travel(NOW, tick=False)
class TestList(Case):
    def listed(self, which):
        page = self.client.get(reverse("expected"), {"which": which})
        return [(one.row, one.state, one.crates) for one in page.context["page"]]

    def test_due_late_and_arrived(self):
        due = self.expected()
        late = self.expected(expected_on=datetime(2026, 3, 9, tzinfo=UTC).date())
        came = self.expected()
        self.arrive(came)
        self.expected(location=self.who.hillcrest)

        assert self.listed("waiting") == [(late, "late", 2), (due, "due", 2)]
        assert self.listed("late") == [(late, "late", 2)]
        assert self.listed("arrived") == [(came, "arrived", 2)]
        assert len(self.listed("")) == 3

    def arrive(self, row):
        truck = make_delivery(carrier=self.carrier)
        url = reverse("add_bill", args=[truck.pk])
        self.client.post(
            f"{url}?expected={row.pk}",
            {
                "pro_number": row.pro_number,
                "piece_unit": "crate",
                "pieces_counted": "2",
                "crate_kind": "one-way",
            },
        )

    def test_the_list_is_taken_away_whole(self):
        row = self.expected()
        answer = self.client.get(reverse("expected"), {"as": "csv"})
        text = answer.content.decode()
        assert row.pro_number in text
        assert "Due" in text
