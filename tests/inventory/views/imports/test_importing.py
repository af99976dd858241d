"""Lists from a file: the fate of each row, nothing by halves, the same file once."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.models import (
    Carrier,
    CrateType,
    Event,
    ImportedRow,
    ListImport,
    Original,
    Supplier,
)
from inventory.rules.imports.kinds import KINDS
from inventory.views.core.clock import today_at
from tests.inventory.views.imports.lists import (
    ListCase,
    book_of,
    csv_of,
    csv_rows,
    raw,
)
from tests.making import make_carrier, make_shipment, make_supplier

pytestmark = pytest.mark.database

HEADER = "Name,SCAC,Mode,Email for claims,Mail time in business days"


class TestTheFateOfEachRow(ListCase):
    def test_new_rows_are_shown_and_then_saved_with_an_event_each(self):
        preview = self.load(
            csv_of(HEADER, "Heron Haulage,HRNH,Motor carrier,a@b.example,3", "Gannet")
        )
        assert self.fates(preview) == [
            (2, "Heron Haulage", "new"),
            (3, "Gannet", "new"),
        ]
        assert not Carrier.objects.exists()
        assert not ListImport.objects.exists()

        answer = self.take(preview)

        made = ListImport.objects.get()
        self.assertRedirects(answer, reverse("list_import", args=[made.pk]))
        heron = Carrier.objects.get(name="Heron Haulage")
        assert (heron.scac, heron.mode, heron.mail_days) == ("HRNH", "motor", 3)
        assert Carrier.objects.get(name="Gannet").mail_days == 5
        kinds = list(Event.objects.order_by("pk").values_list("kind", flat=True))
        assert kinds == ["carrier.added", "carrier.added", "list.imported"]
        links = ImportedRow.objects.values_list("row", "noun", "name")
        assert list(links) == [
            (2, "carrier", "Heron Haulage"),
            (3, "carrier", "Gannet"),
        ]

    def test_what_is_wrong_in_a_row_is_said_and_the_others_stay(self):
        preview = self.load(
            csv_of(
                HEADER,
                "Heron Haulage",
                "heron  haulage",
                "Gannet,TOO-LONG",
                "Tern,,Balloon",
                "Petrel,,,not an email",
                "Skua,,,,soon",
                '"=HYPERLINK(""http://x.example"",""y"")"',
                "Auk,+CMD",
                "\tTab",
                ",ABCD",
                "",
                "Puffin,,,,,beside",
                "Plover,PLVR",
            )
        )
        said = self.reasons(preview)
        assert said[2] == said[14] == ""
        assert said[3] == "Row 2 is the same carrier."
        assert said[4].startswith("SCAC: ")
        assert said[5].startswith("Mode: ")
        assert said[6].startswith("Email for claims: ")
        assert said[7].startswith("Mail time in business days: ")
        assert said[8].startswith("Name begins like a formula")
        assert said[9].startswith("SCAC begins like a formula")
        assert said[10].startswith("Name begins like a formula")
        assert said[11] == "Name is missing."
        assert said[13] == "“beside” stands under no heading."
        self.take(preview)
        assert Carrier.objects.count() == 2

    def test_a_wrong_heading_is_named_and_the_template_is_the_way(self):
        answer = self.load(csv_of("Name,Fax", "Heron,1"))
        self.assertContains(answer, "“Fax” is not known", status_code=422)
        self.assertContains(answer, "template of carriers", status_code=422)
        self.assertContains(answer, "Choose the file again", status_code=422)
        self.assertNotContains(answer, "Choose the photos", status_code=422)

    def test_a_list_again_with_more_rows_brings_in_the_new_ones_only(self):
        self.take(self.load(csv_of(HEADER, "Heron Haulage")))
        preview = self.load(csv_of(HEADER, "HERON haulage", "Gannet"))

        assert self.fates(preview) == [
            (2, "HERON haulage", "there"),
            (3, "Gannet", "new"),
        ]
        self.take(preview)
        assert Carrier.objects.count() == 2

    def test_a_workbook_with_an_empty_second_sheet_is_read(self):
        head = ("Name", "Email for damage", "Standing order for damaged crates")
        rows = [head, ("Teal Tillage", "d@teal.example", "Refuse"), ("Cinderbrook",)]
        preview = self.load(book_of(rows, []), "suppliers")
        states = {name: state for _, name, state in self.fates(preview)}
        assert states["Cinderbrook"] == "new"
        self.take(preview, "suppliers")
        assert Supplier.objects.get(name="Cinderbrook").standing_order == "none"
        kept = ListImport.objects.get().original
        longest = Original._meta.get_field("media_type").max_length
        assert len(kept.media_type) <= longest  # SQLite does not refuse more


class TestTheSameFile(ListCase):
    FILE = (HEADER, "Heron Haulage,HRNH", "Gannet")

    def test_a_second_time_is_a_no_op_that_names_the_first(self):
        self.take(self.load(csv_of(*self.FILE)))
        preview = self.load(csv_of(*self.FILE))

        self.assertContains(preview, "Imported already.")
        self.assertContains(preview, "Ada Quist imported this file")
        self.assertNotContains(preview, 'name="signed"')

    def test_two_previews_of_it_are_saved_once(self):
        one, two = (self.load(csv_of(*self.FILE)) for _ in range(2))
        first, again = self.take(one), self.take(two)

        assert first["Location"] == again["Location"]
        assert (ListImport.objects.count(), Carrier.objects.count()) == (1, 2)
        page = self.client.get(again["Location"])
        self.assertContains(page, "Nothing was imported a second time.")

    def test_the_same_sending_again_is_saved_once(self):
        preview = self.load(csv_of(*self.FILE))
        first, again = self.take(preview), self.take(preview)

        assert (first.status_code, again.status_code) == (302, 302)
        assert ListImport.objects.count() == 1


class TestSaving(ListCase):
    def test_a_changed_preview_is_refused(self):
        preview = self.load(csv_of(HEADER, "Heron Haulage"))
        for signed in ("", "x" * 50):
            answer = self.take(preview, signed=signed)
            self.assertContains(answer, "Nothing was saved", status_code=422)
        assert not Carrier.objects.exists()

    def test_a_list_of_carriers_is_none_of_suppliers(self):
        answer = self.take(self.load(csv_of(HEADER, "Heron Haulage")), "suppliers")

        self.assertContains(answer, "Nothing was saved", status_code=422)
        assert not Supplier.objects.exists()

    def test_a_name_taken_meanwhile_saves_none_of_them(self):
        preview = self.load(csv_of(HEADER, "Gannet", "Heron Haulage"))
        make_carrier(name="Heron Haulage")

        answer = self.take(preview)

        self.assertContains(answer, "changed after the preview", status_code=422)
        assert Carrier.objects.count() == 1
        assert not ListImport.objects.exists()

    def test_whoever_may_not_keep_carriers_is_turned_away(self):
        self.client.force_login(self.who.rosa)

        assert self.load(csv_of(HEADER, "Heron")).status_code == 403


class TestTemplates(ListCase):
    @pytest.mark.slow
    def test_each_is_read_back_whole(self):
        for kind in ("carriers", "suppliers", "people"):
            for form in ("csv", "xlsx"):
                with self.subTest(kind=kind, form=form):
                    file = self.client.get(self.page(kind), {"as": form})
                    preview = self.load(raw(file.content, f"a.{form}"), kind)
                    assert [state for _, _, state in self.fates(preview)] == ["new"]
            assert self.take(preview, kind).status_code == 302

    def test_the_rows_of_an_import_are_files_without_formulas(self):
        self.take(self.load(csv_of(HEADER, "Heron Haulage")))
        page = reverse("list_import", args=[ListImport.objects.get().pk])
        ImportedRow.objects.bulk_create(
            [
                ImportedRow(
                    list_import_id=ListImport.objects.get().pk,
                    row=9,
                    noun="carrier",
                    key="999",
                    name=name,
                )
                for name in ("=1+1",)
            ]
        )
        text = self.client.get(page, {"as": "csv"}).content.decode("utf-8-sig")
        assert "2,Heron Haulage,Imported" in text
        assert "9,'=1+1,Imported" in text


class TestQueries(ListCase):
    def rows(self, kind, count):
        if kind == "opening-deposits":
            head = ["Supplier", "Invoice number", "Invoice date", "Open as of"]
            head += ["Deposit per crate", "Crate type"]
            days = [today_at(self.who.riverside).isoformat()] * 2
            return [
                head,
                *(["Teal Tillage", f"T-{n}", *days, "5", ""] for n in range(count)),
            ]
        if kind == "expected-credits":
            head = ["Supplier", "Our bill number", "Shipped back on"]
            head += ["Credit expected per crate", "Crate type"]
            day = today_at(self.who.riverside).isoformat()
            more = [day, "5", "Wheel crate"]
            return [head, *(["Teal Tillage", f"R-{n}", *more] for n in range(count))]
        if kind == "open-claims":
            head = ["Carrier", "PRO number", "Bill date", "Claim filed on"]
            head += ["Amount claimed"]
            days = [today_at(self.who.riverside).isoformat()] * 2
            return [head, *(["Heron", f"9-{n}", *days, "5"] for n in range(count))]
        if kind == "machines":
            head = ["Carrier", "PRO number", "Model", "Serial"]
            return [
                head,
                *(["Heron", "4471", "Tiller", f"S-{n}"] for n in range(count)),
            ]
        if kind == "crate-types":
            head = ["Supplier", "Name"]
            return [head, *(["Teal Tillage", f"Crate {n}"] for n in range(count))]
        if kind == "crate-terms":
            head = ["Supplier", "In force from", "Source", "Currency"]
            head += ["Deposits by crate type", "Full credit through day"]
            more = ["Page 2", "USD", "Wheel crate: 185.00", "60"]
            first = today_at(self.who.riverside)
            days = [first + timedelta(days=n) for n in range(count)]
            return [head, *(["Teal Tillage", day.isoformat(), *more] for day in days)]
        if kind == "people":
            head = ["Full name", "Sign-in name", "Location", "Roles"]
            return [
                head,
                *([f"Ines {n}", f"ines{n}", "RIV", "Manager"] for n in range(count)),
            ]
        return [["Name"], *([f"Heron {n}"] for n in range(count))]

    @pytest.mark.slow
    def test_a_preview_asks_no_more_of_the_database_for_twenty_rows(self):
        supplier = make_supplier(name="Teal Tillage")
        CrateType.objects.create(supplier=supplier, name="Wheel crate")
        carrier = make_carrier(name="Heron")
        make_shipment(location=self.who.riverside, carrier=carrier, pro_number="4471")
        senders = {
            "machines": "mina",
            "opening-deposits": "abel",
            "expected-credits": "abel",
            "open-claims": "mina",
        }
        for kind in KINDS.values():
            with self.subTest(kind=kind.key):
                self.client.force_login(getattr(self.who, senders.get(kind.key, "ada")))
                place = {"location": self.who.riverside.pk}
                self.more = place if kind.is_at_location else {}
                taken = []
                for count in (1, 20):
                    file = csv_rows(*self.rows(kind.key, count))
                    with CaptureQueriesContext(connection) as queries:
                        preview = self.load(file, kind.key)
                    assert {one[2] for one in self.fates(preview)} == {"new"}
                    taken.append(len(queries))
                assert taken[0] == taken[1]

    def test_the_pages_ask_no_more_for_many_rows(self):
        pages = []
        for count in (1, 6):
            self.take(
                self.load(csv_rows(*self.rows("suppliers", count)), "suppliers"),
                "suppliers",
            )
            row = ListImport.objects.first()
            taken = []
            for page in (
                reverse("bring_lists"),
                reverse("list_import", args=[row.pk]),
            ):
                with CaptureQueriesContext(connection) as queries:
                    self.client.get(page)
                taken.append(len(queries))
            pages.append(taken)
        assert pages[0] == pages[1]
