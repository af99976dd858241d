"""A crate is given its keys, its label is printed, and the label leads back to it."""

import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from pypdf import PdfReader

from inventory.models import Crate, Event
from inventory.rules.codes.identifiers import parse
from tests import making
from tests.label_photos import label_photo
from tests.people import cast
from tests.pictures import jpeg
from tests.prepared_once import PreparedOnce
from tests.verifying import last_image_of

pytestmark = pytest.mark.database

GRAI = "00614141123452400"
SSCC = "106141411234567897"
LINK = f"https://id.gs1.org/8003/{GRAI}"


class CrateCase(PreparedOnce):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.bill = making.make_shipment(location=cls.who.riverside)
        cls.crate = making.make_reusable(cls.bill, mark="")
        cls.prepare_class()

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def save(self, crate=None, **typed):
        row = crate or self.crate
        row.refresh_from_db()
        values = {"version": row.version, "mark": row.mark, **typed}
        answer = self.client.post(
            reverse("set_crate_identity", args=[row.pk]), values, follow=True
        )
        row.refresh_from_db()
        return answer


class TestIdentity(CrateCase):
    def test_every_form_of_a_key_is_kept_in_one(self):
        for typed in (f"(8003){GRAI}", f"8003{GRAI}", f"]C18003{GRAI}", LINK, GRAI):
            with self.subTest(typed=typed):
                Crate.objects.filter(pk=self.crate.pk).update(grai="")
                assert self.save(grai=typed).status_code == 200
                assert self.crate.grai == GRAI

    def test_the_event_says_what_the_crate_is_known_by(self):
        self.save(mark="rk 0042", grai=LINK, sscc=f"(00){SSCC}", supplier_code="Bx-7")

        assert (self.crate.mark, self.crate.sscc) == ("RK 0042", SSCC)
        assert self.crate.supplier_code == "Bx-7"
        event = Event.objects.filter(kind="crate.marked").get()
        assert event.data["mark"] == (
            f"mark RK 0042, GRAI (8003){GRAI}, SSCC (00){SSCC}, supplier's code Bx-7"
        )
        assert last_image_of(self.crate)["grai"] == GRAI

    def test_a_key_that_does_not_hold_comes_back_with_the_reason(self):
        wrong = {
            "grai": [
                ("(8003)00614141123453400", "should be 2, not 3"),
                ("(8003)00614141123452", "no serial"),
                (f"(00){SSCC}", "an SSCC, not a GRAI"),
                ("RK-0042", "a mark, not a GRAI"),
            ],
            "sscc": [
                ("106141411234567890", "should be 7, not 0"),
                (LINK, "a GRAI, not an SSCC"),
            ],
            "mark": [("---", "no letter and no digit"), (SSCC, "in its own field")],
            "supplier_code": [("(8004)KX9", "company prefix"), ("---", "no letter")],
        }
        for field, cases in wrong.items():
            for typed, words in cases:
                with self.subTest(field=field, typed=typed):
                    answer = self.save(**{field: typed})
                    assert answer.status_code == 422
                    assert words in str(answer.context["form"].errors[field])
                    # Marks are shown in the form they are kept in.
                    assert typed in answer.content.decode()
        assert not Event.objects.filter(kind="crate.marked").exists()

    def test_a_giai_is_kept_in_brackets_as_the_suppliers_code(self):
        self.save(supplier_code="https://id.gs1.org/8004/0614141KX%2F9"[:40])
        assert self.crate.supplier_code == "(8004)0614141KX/9"

    def test_a_stale_page_saves_nothing(self):
        stale = self.crate.version
        self.save(mark="RK-1")
        answer = self.client.post(
            reverse("set_crate_identity", args=[self.crate.pk]),
            {"version": stale, "mark": "RK-2"},
        )
        assert answer.status_code == 422
        assert "Nothing was saved" in answer.content.decode()
        self.crate.refresh_from_db()
        assert self.crate.mark == "RK-1"

    def test_another_crate_on_hand_with_the_same_key_is_a_warning(self):
        twin = making.make_reusable(self.bill, mark="RK-1", grai=GRAI)
        answer = self.save(grai=LINK)
        assert f"{twin}, {self.bill}" in answer.content.decode()
        assert "one of them is wrong" in answer.content.decode()

    def test_a_crate_that_went_back_may_come_again_without_a_warning(self):
        making.make_reusable(self.bill, mark="RK-1", grai=GRAI, state="shipped")
        assert "one of them is wrong" not in self.save(grai=LINK).content.decode()

    def test_the_same_mark_of_another_supplier_is_no_warning(self):
        other = making.make_shipment(location=self.who.riverside)
        making.make_reusable(other, mark="RK-1")
        assert "one of them is wrong" not in self.save(mark="RK-1").content.decode()
        making.make_reusable(self.bill, mark="RK-1")
        assert "one of them is wrong" in self.save(mark="RK-1").content.decode()

    def test_a_crate_elsewhere_is_not_told_of(self):
        far = making.make_shipment(location=self.who.hillcrest)
        making.make_reusable(far, mark="FAR", grai=GRAI)
        assert "FAR" not in self.save(grai=LINK).content.decode()


class TestMarks(CrateCase):
    def give(self):
        url = reverse("give_marks", args=[self.bill.pk])
        return self.client.post(url, follow=True)

    def test_each_reusable_crate_without_a_key_gets_a_mark_of_ours(self):
        marked = making.make_reusable(self.bill, mark="OLD-1")
        one_way = making.make_crate(self.bill, mark="")
        refused = making.make_reusable(self.bill, mark="", state="", look="refused")
        by_count = making.make_reusable(
            self.bill,
            mark="",
            crate_type=making.make_crate_type(self.bill.supplier, kept_by="count"),
        )

        answer = self.give()

        assert "1 crate has a mark now" in answer.content.decode()
        for row in (self.crate, marked, one_way, refused, by_count):
            row.refresh_from_db()
        assert self.crate.mark == f"RIV-{self.crate.pk:05d}"
        assert parse(self.crate.mark).key == self.crate.mark
        assert marked.mark == "OLD-1"
        assert {one_way.mark, refused.mark, by_count.mark} == {""}
        assert Event.objects.filter(kind="crate.marked").count() == 1

    def test_a_second_press_changes_nothing_and_says_so(self):
        self.give()
        assert "Nothing was changed" in self.give().content.decode()
        assert Event.objects.filter(kind="crate.marked").count() == 1


class TestLabels(CrateCase):
    def prepare_once(self):
        self.save(mark="RK-0042", grai=LINK)
        self.second = making.make_reusable(self.bill, mark="RK-0043")
        self.nameless = making.make_crate(self.bill, mark="")

    def pdf(self, person="rosa", **asked):
        self.client.force_login(getattr(self.who, person))
        return self.client.get(reverse("crate_labels_pdf", args=[self.bill.pk]), asked)

    def words(self, answer):
        assert answer["Content-Type"] == "application/pdf"
        return [
            page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages
        ]

    def test_the_page_offers_the_crates_that_have_a_key(self):
        page = self.client.get(reverse("crate_labels", args=[self.bill.pk]))
        boxes = re.findall(r'name="crate" value="(\d+)" checked', page.content.decode())
        assert boxes == [str(self.crate.pk), str(self.second.pk)]
        assert (
            reverse("set_crate_identity", args=[self.nameless.pk])
            in page.content.decode()
        )

    def test_the_chosen_labels_are_printed_and_no_other(self):
        (page,) = self.words(self.pdf(crate=[self.crate.pk]))
        assert f"(8003){GRAI}" in page
        assert "RK-0042" in page
        assert "RK-0043" not in page
        assert self.bill.supplier.address.splitlines()[0] in page

    def test_one_label_a_page(self):
        both = [self.crate.pk, self.second.pk]
        assert len(self.words(self.pdf(crate=both, layout="single"))) == 2
        assert len(self.words(self.pdf(crate=both, start="6"))) == 2
        assert len(self.words(self.pdf(crate=both, start="5"))) == 1

    def test_a_dock_with_a4_prints_on_a4(self):
        self.who.riverside.paper = "a4"
        self.who.riverside.save()
        answer = self.pdf(crate=[self.crate.pk])
        box = PdfReader(io.BytesIO(answer.content)).pages[0].mediabox
        assert (round(box.width), round(box.height)) == (595, 842)

    def test_what_cannot_be_printed_is_said(self):
        for asked, words in [
            ({}, "Choose at least one crate"),
            ({"crate": [self.nameless.pk]}, "Choose at least one crate"),
            ({"crate": ["x", "-1", "9" * 30]}, "Choose at least one crate"),
            ({"crate": [self.crate.pk], "start": "7"}, "from 1 to 6"),
            ({"crate": [self.crate.pk], "start": "0"}, "from 1 to 6"),
            ({"crate": [self.crate.pk], "start": "²"}, "from 1 to 6"),
        ]:
            with self.subTest(asked=asked):
                answer = self.pdf(**asked)
                assert answer.status_code == 422
                assert words in answer.content.decode()

    def test_a_crate_of_another_bill_is_not_printed_with_it(self):
        other = making.make_reusable(making.make_shipment(), mark="OTHER-1")
        assert self.pdf(crate=[other.pk]).status_code == 422


class TestFinding(CrateCase):
    def prepare_once(self):
        self.save(mark="RK-0042", grai=LINK, sscc=SSCC, supplier_code="Bx 7")

    def find(self, code, person="rosa"):
        self.client.force_login(getattr(self.who, person))
        return self.client.get(reverse("find_crate"), {"code": code})

    def photo(self, photo, name="label.jpg"):
        upload = SimpleUploadedFile(name, photo, "image/jpeg")
        return self.client.post(reverse("find_crate"), {"photo": upload})

    def leads_to_crate(self, answer):
        return answer.status_code == 302 and answer.url == f"/crates/{self.crate.pk}/"

    def test_any_form_of_any_key_leads_to_the_crate(self):
        for code in (
            "RK-0042",
            "rk 0042",
            "rk0042",
            f"]C18003{GRAI}",
            LINK,
            GRAI[:14],
            f"(00){SSCC}",
            f"00{SSCC}\x1d400PO-1",
            "BX-7",
        ):
            with self.subTest(code=code):
                assert self.leads_to_crate(self.find(code)), code

    def test_a_crate_of_another_location_is_not_found(self):
        answer = self.find("RK-0042", "nell")
        assert answer.status_code == 200
        assert "No crate at your locations" in answer.content.decode()

    def test_several_crates_are_listed_those_on_hand_first(self):
        making.make_reusable(self.bill, mark="RK-0042", state="shipped")
        here = making.make_reusable(self.bill, mark="RK-0042")
        page = self.find("RK-0042")
        assert [row.state for row in page.context["crates"]] == [
            *["emptied"] * 2,
            "shipped",
        ]
        assert here in page.context["crates"]

    def test_a_mark_dash_for_dash_comes_before_one_that_only_looks_alike(self):
        making.make_reusable(self.bill, mark="RK0042")
        assert self.leads_to_crate(self.find("RK-0042"))

    def test_what_cannot_be_read_is_said_and_safely_shown(self):
        for code in ("(00)106141411234567890", "<script>", "\x00", "A" * 3000, "１２"):
            with self.subTest(code=code):
                page = self.find(code)
                assert page.status_code == 200
                assert "<script>alert" not in page.content.decode()
                assert "notice" in page.content.decode()
        assert (
            "should be 7, not 0" in self.find("(00)106141411234567890").content.decode()
        )

    def test_a_photo_of_the_label_leads_to_the_crate_and_is_not_kept(self):
        answer = self.photo(label_photo(parse(LINK)))
        assert answer.status_code == 302
        assert self.leads_to_crate(self.client.get(answer.url))
        assert not Event.objects.filter(kind="evidence.kept").exists()

    def test_a_photo_of_an_unknown_label_says_what_it_read(self):
        answer = self.photo(label_photo(parse("(8003)00614141123452999")))
        page = self.client.get(answer.url).content.decode()
        assert "No crate at your locations" in page
        assert "00614141123452999" in page

    def test_a_photo_that_cannot_be_read_says_what_to_do(self):
        for photo, words in [
            (jpeg(), "No code could be read"),
            (b"\xff\xd8\xff" + b"x" * 200, "could not be opened"),
            (b"%PDF-1.7" + b"x" * 200, "not a photo"),
            (b"GIF89a" + b"x" * 200, "not a photo"),
            (b"", "not a photo"),
        ]:
            with self.subTest(words=words):
                answer = self.photo(photo)
                assert answer.status_code == 422
                assert words in answer.content.decode()

    def test_a_form_without_a_photo_is_a_mistake_to_name(self):
        answer = self.client.post(reverse("find_crate"), {})
        assert answer.status_code == 422
        assert "Choose or take the photo" in answer.content.decode()

    def test_a_photo_over_the_limit_is_refused_before_it_is_opened(self):
        with self.settings(EVIDENCE_LIMIT=100):
            answer = self.photo(jpeg())
        assert answer.status_code == 422
        assert "larger than" in answer.content.decode()

    def test_the_search_box_finds_the_crate_by_any_form(self):
        for typed in ("RK-0042", "rk0042", LINK, f"(8003){GRAI}", SSCC, "061414112345"):
            with self.subTest(typed=typed):
                page = self.client.get(reverse("search"), {"q": typed})
                found = {one.name: one.rows for one in page.context["sections"]}
                assert [row for row, _ in found["crate"]] == [self.crate]
