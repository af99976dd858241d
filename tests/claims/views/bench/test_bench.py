"""The bench's pages: what each shows, takes, and says to bad input."""

import uuid
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from claims.models import Finding, FindingPhoto, Inspection
from inventory.models import Evidence, Hold
from tests import making
from tests.people import cast
from tests.pictures import NO_PICTURE, jpeg
from tests.reading import seen

pytestmark = pytest.mark.database


def photo(name="crack.jpg", data=None):
    return SimpleUploadedFile(name, jpeg() if data is None else data, "image/jpeg")


class BenchPages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.shipment = making.make_shipment(location=cls.people.riverside)
        cls.truck = making.make_signed_delivery(location=cls.people.riverside)
        making.make_handover(cls.truck, cls.shipment)
        cls.closed = making.make_crate(
            cls.shipment, delivery=cls.truck, look="clear", mark="HT-CLOSED"
        )
        cls.crate = making.make_crate(
            cls.shipment,
            delivery=cls.truck,
            look="clear",
            opened_at=making.ARRIVED,
            opened_on=date(2026, 3, 10),
        )
        cls.unit = making.make_unit(crate=cls.crate)

    def as_(self, name):
        self.client.force_login(getattr(self.people, name))
        return self.client

    def url(self, name, *args, query=""):
        return reverse(name, args=args) + query

    def errors(self, answer):
        assert answer.status_code == 422, answer.status_code
        form = answer.context["form"]
        errors = {**form.errors}
        for lines in getattr(form, "line_sets", {}).values():
            for line in lines:
                errors |= {line.add_prefix(name): e for name, e in line.errors.items()}
        return {
            name: " ".join(str(one) for one in found) for name, found in errors.items()
        }


class DeskTests(BenchPages):
    def test_it_opens_on_closed_crates(self):
        answer = self.as_("tomas").get(self.url("bench"))
        assert "HT-CLOSED" in answer.content.decode()
        assert self.url("open_crate", self.closed.pk) in answer.content.decode()

    def test_it_shows_what_waits_for_a_look_and_the_next_stage(self):
        page = self.as_("tomas").get(self.url("bench")).content.decode()
        assert self.url("inspect_unit", self.unit.pk, "uncrating") in page

        making.make_inspection(crate=self.crate, unit=self.unit)
        page = self.as_("tomas").get(self.url("bench")).content.decode()
        assert self.url("setup", self.unit.pk) in page

    def test_a_held_machine_waits_on_its_own_list(self):
        making.make_inspection(crate=self.crate, unit=self.unit)
        hold = making.make_hold(self.unit)
        page = self.as_("mina").get(self.url("bench")).content.decode()
        assert self.url("release_hold", hold.pk) in page
        assert self.url("setup", self.unit.pk) not in page

    def test_a_held_machine_whose_setup_began_is_listed_once(self):
        making.make_setup(self.unit, begun_by=self.people.tomas)
        making.make_hold(self.unit, placed_by=self.people.tomas)
        desk = self.as_("tomas").get(self.url("bench")).context["desk"]
        assert [row.unit for row in desk.yours] == []
        assert [hold.unit for hold in desk.your_holds] == [self.unit]

    def test_my_findings_without_a_photo_are_named_until_they_have_one(self):
        look = making.make_inspection(
            crate=self.crate, unit=self.unit, looked_by=self.people.tomas
        )
        finding = making.make_finding(look)
        to_edit = self.url("edit_finding", finding.pk)
        assert to_edit in self.as_("tomas").get(self.url("bench")).content.decode()
        assert to_edit not in self.as_("mina").get(self.url("bench")).content.decode()

        making.attach_photo(finding)
        assert to_edit not in self.as_("tomas").get(self.url("bench")).content.decode()

    def test_only_those_who_see_claims_see_the_value(self):
        making.make_unit(crate=self.closed, invoice_cents=987_600)
        assert "$9,876.00" in self.as_("mina").get(self.url("bench")).content.decode()
        tomas = self.as_("tomas").get(self.url("bench")).content.decode()
        assert "$9,876.00" not in tomas

    @pytest.mark.slow
    def test_the_same_queries_at_one_row_and_at_twenty(self):
        self.fill(1)
        few = self.count()
        self.fill(19)
        assert self.count() == few

    def fill(self, number):
        for _ in range(number):
            making.make_unit(
                crate=making.make_crate(self.shipment, delivery=self.truck)
            )
            opened = making.make_crate(
                self.shipment,
                delivery=self.truck,
                opened_at=making.ARRIVED,
                opened_on=date(2026, 3, 10),
            )
            making.make_unit(crate=opened)
            held = making.make_unit(self.shipment)
            making.make_hold(held)
            look = making.make_inspection(unit=held, looked_by=self.people.tomas)
            making.make_finding(look)

    def count(self):
        client = self.as_("tomas")
        client.get(self.url("bench"))
        with CaptureQueriesContext(connection) as queries:
            client.get(self.url("bench"))
        return len(queries)


class OpenCrateTests(BenchPages):
    def test_it_says_what_to_keep_before_the_first_strap_is_cut(self):
        answer = self.as_("tomas").get(self.url("open_crate", self.closed.pk))
        page = answer.content.decode()
        assert "Before you cut the first strap" in page
        assert "Keep the crate, the blocking, the wrap and every label" in page
        assert "Straps are under tension" in page
        assert "maker&#x27;s manual" in page

    def test_opening_keeps_photos_and_leads_on_to_the_look(self):
        unit = making.make_unit(crate=self.closed)
        answer = self.as_("tomas").post(
            self.url("open_crate", self.closed.pk),
            {"photos": [photo(), photo("b.jpg", jpeg(colour=(9, 9, 9)))]},
        )
        self.assertRedirects(answer, self.url("inspect_unit", unit.pk, "uncrating"))
        self.closed.refresh_from_db()
        assert self.closed.opened_at is not None
        kept = Evidence.objects.filter(crate=self.closed)
        assert {one.kind for one in kept} == {"opening"}
        assert kept.count() == 2

    def test_no_photo_is_no_lock(self):
        self.as_("tomas").post(self.url("open_crate", self.closed.pk), {})
        self.closed.refresh_from_db()
        assert self.closed.opened_at is not None

    def test_an_unsigned_receipt_keeps_it_closed(self):
        unsigned = making.make_delivery(location=self.people.riverside)
        crate = making.make_crate(self.shipment, delivery=unsigned)
        address = self.url("open_crate", crate.pk)
        assert "Not now." in self.as_("tomas").get(address).content.decode()
        answer = self.as_("tomas").post(address, {})
        assert "receipt is signed" in self.errors(answer)["__all__"]
        crate.refresh_from_db()
        assert crate.opened_at is None

    def test_a_text_named_as_a_photo_opens_nothing(self):
        answer = self.as_("tomas").post(
            self.url("open_crate", self.closed.pk),
            {"photos": [photo(data=b"this is no picture at all")]},
        )
        assert self.errors(answer)
        self.closed.refresh_from_db()
        assert self.closed.opened_at is None

    def test_an_empty_file_opens_nothing(self):
        answer = self.as_("tomas").post(
            self.url("open_crate", self.closed.pk), {"photos": [photo(data=b"")]}
        )
        assert self.errors(answer)

    def test_too_many_photos_at_once(self):
        answer = self.as_("tomas").post(
            self.url("open_crate", self.closed.pk),
            {"photos": [photo(f"{n}.jpg") for n in range(21)]},
        )
        assert answer.status_code == 400
        self.closed.refresh_from_db()
        assert self.closed.opened_at is None


class InspectTests(BenchPages):
    def post(self, stage="uncrating", **data):
        values = {"crate_condition": "sound"}
        return self.as_("tomas").post(
            self.url("inspect_unit", self.unit.pk, stage), {**values, **data}
        )

    def test_a_look_keeps_results(self):
        answer = self.post(look_panels="right", look_wheels="absent")
        self.assertRedirects(answer, self.url("unit", self.unit.pk))
        looks = Inspection.objects.get(stage="uncrating").looks
        assert {row["key"]: row["result"] for row in looks} == {
            "panels": "right",
            "wheels": "absent",
        }

    def test_what_is_not_right_leads_on_to_a_finding(self):
        answer = self.post(look_panels="wrong")
        expected = self.url(
            "record_finding",
            self.shipment.pk,
            query=f"?unit={self.unit.pk}&stage=uncrating",
        )
        self.assertRedirects(answer, expected)

    def test_one_button_says_that_all_the_rest_is_right(self):
        self.post(look_panels="wrong", rest="Mark the rest right and save")
        results = [row["result"] for row in Inspection.objects.get().looks]
        assert results.count("wrong") == 1
        assert results.count("right") == len(results) - 1
        assert len(results) == 9

    def test_bad_input_says_what_to_write(self):
        for data, field, sentence in (
            ({}, "__all__", "No point is marked"),
            ({"crate_condition": ""}, "crate_condition", "Choose one."),
            ({"look_panels": "maybe"}, "look_panels", "Choose one of those listed"),
            ({"note": "x" * 2001}, "note", "Shorten this to 2,000"),
            ({"note": "a\n" * 300}, "note", "Shorten this to 200 lines"),
        ):
            with self.subTest(data=str(data)[:40]):
                assert sentence in self.errors(self.post(**data))[field]
        assert not Inspection.objects.exists()

    def test_a_nul_in_the_note_is_dropped_and_never_fails(self):
        answer = self.post(note="rub\x00 marks")
        assert answer.status_code == 302 or "note" in self.errors(answer)

    def test_an_unknown_stage_is_not_found(self):
        address = self.url("inspect_unit", self.unit.pk, "set-up")
        assert self.as_("tomas").get(address).status_code == 404


class RecordFindingTests(BenchPages):
    GOOD = {
        "crate_condition": "sound",
        "part": "deck shell",
        "damage_kind": "cracked",
        "severity": "severe",
        "facts": "Cracked at the left hinge, 12 cm.",
        "cause": "transit",
        "opinion": "A fork tine, by the shape.",
        "repair_minutes": "1:30",
        "parts-TOTAL_FORMS": "4",
        "parts-INITIAL_FORMS": "0",
        "parts-0-name": "Deck shell",
        "parts-0-number": "ds-48",
        "parts-0-count": "1",
    }

    def address(self, query=None):
        asked = query or f"?unit={self.unit.pk}&stage=uncrating"
        return self.url("record_finding", self.shipment.pk, query=asked)

    def post(self, query=None, **over):
        return self.as_("tomas").post(self.address(query), {**self.GOOD, **over})

    def test_it_is_recorded_with_its_part_and_stops_the_machine(self):
        answer = self.post(photos=[photo()])
        row = Finding.objects.get()
        self.assertRedirects(answer, self.url("finding", row.pk))
        assert (row.number, row.repair_minutes, row.could_be_seen) == (1, 90, False)
        assert row.parts.get().part_number == "DS-48"
        assert row.photos.count() == 1
        assert Hold.objects.get().unit == self.unit

    def test_it_says_where_on_the_machine_not_on_the_crate(self):
        page = self.as_("tomas").get(self.address())
        self.assertContains(page, "Where on the machine")
        self.assertNotContains(page, 'name="faces"')
        answer = self.post(places=["under", "engine", "left-front-wheel"])
        assert answer.status_code == 302
        row = Finding.objects.get()
        assert row.places == ["under", "left-front-wheel", "engine"]
        said = "Underneath, left front wheel, engine"
        self.assertContains(self.as_("tomas").get(answer.url), said)
        edit = self.as_("tomas").get(self.url("edit_finding", row.pk))
        assert edit.context["form"]["places"].value() == row.places

    def test_a_finding_on_the_crate_still_says_which_side(self):
        page = self.as_("tomas").get(self.address(f"?crate={self.unit.crate_id}"))
        self.assertContains(page, 'name="faces"')
        self.assertNotContains(page, "Where on the machine")

    def test_photos_survive_a_mistake_elsewhere(self):
        answer = self.post(facts="", photos=[photo()])
        assert "Enter what you see" in self.errors(answer)["facts"]
        kept = Evidence.objects.get()
        assert f'value="{kept.pk}"' in answer.content.decode()
        assert answer.context["form"]["photos"].value() == [str(kept.pk)]

        self.post(photos_kept=[str(kept.pk)])
        assert FindingPhoto.objects.get().evidence == kept

    def test_more_parts_are_behind_a_line_to_open(self):
        page = self.as_("tomas").get(self.address()).content.decode()
        assert '<details class="more"><summary>More parts' in page

    def test_the_form_repeats_what_was_typed(self):
        answer = self.post(severity="", facts="Cracked at the hinge.")
        page = answer.content.decode()
        assert "Cracked at the hinge." in page
        assert "A fork tine, by the shape." in page

    def test_a_text_named_as_a_photo_is_refused_and_nothing_typed_is_lost(self):
        answer = self.post(photos=[photo(data=b"GIF? no, text")])
        assert "crack.jpg: This is not a photo" in self.errors(answer)["photos"]
        assert "A fork tine" in answer.content.decode()
        assert not Finding.objects.exists()

    def test_a_photo_that_cannot_be_opened_is_kept_and_said(self):
        self.post(photos=[photo(data=NO_PICTURE)])
        assert Finding.objects.count() == 1
        remarks = seen(Evidence.objects.get()).remarks
        assert "cannot be previewed" in " ".join(remarks)

    def test_a_photo_cut_off_in_the_middle_is_refused_and_named(self):
        whole = jpeg()
        answer = self.post(photos=[photo(data=whole[: len(whole) // 2])])
        assert "its end is missing" in answer.content.decode()
        assert not Evidence.objects.exists()

    def test_bad_input_says_what_to_write(self):
        for field, value, sentence in (
            ("damage_kind", "", "Choose one, such as cracked"),
            ("damage_kind", "exploded", "Choose one of those listed"),
            ("severity", "", "minor, moderate or severe"),
            ("cause", "", "Choose Not known where"),
            ("facts", "x" * 2001, "Shorten this to 2,000"),
            ("part", "x" * 81, "Shorten this to 80"),
            ("pieces", "-1", "whole number"),
            ("pieces", str(2**63), "whole number"),
            ("pieces", "٣", "whole number"),
            ("repair_minutes", "-1", "such as 1.5 or 1:30"),
            ("repair_minutes", "NaN", "such as 1.5 or 1:30"),
            ("repair_minutes", "1:75", "such as 1.5 or 1:30"),
            ("repair_minutes", "501", "at most 500"),
            ("repair_minutes", "tomorrow", "such as 1.5 or 1:30"),
            ("parts-0-count", "0", "whole number"),
            ("parts-0-name", "", "Enter the part"),
            ("places", "side-9", "Tap a place on the machine"),
            ("photos_kept", "not-a-key", "Choose photos from those shown"),
            ("photos_kept", str(uuid.uuid4()), "Choose photos from those shown"),
            ("crate_condition", "", "Choose one."),
            ("seen_reason", "Because.", "Choose yes or no"),
        ):
            with self.subTest(field=field, value=value[:30]):
                errors = self.errors(self.post(**{field: value}))
                elsewhere = {"seen_reason": "could_be_seen", "photos_kept": "photos"}
                assert sentence in errors[elsewhere.get(field, field)]
        assert not Finding.objects.exists()

    def test_an_empty_form_says_everything_at_once(self):
        answer = self.as_("tomas").post(self.address(), {})
        assert {"damage_kind", "severity", "facts", "cause"} <= set(self.errors(answer))

    def test_a_correction_without_a_reason_is_refused(self):
        answer = self.post(could_be_seen="yes")
        assert "enter a reason" in self.errors(answer)["__all__"]

    def test_a_photo_of_another_bill_cannot_be_chosen(self):
        other = making.make_evidence(
            shipment=making.make_shipment(location=self.people.riverside)
        )
        assert "photos" in self.errors(self.post(photos_kept=[str(other.pk)]))

    def test_a_machine_of_another_bill_is_not_found(self):
        other = making.make_unit(making.make_shipment(location=self.people.riverside))
        answer = self.as_("tomas").get(self.address(f"?unit={other.pk}"))
        assert answer.status_code == 404

    def test_a_bad_address_is_not_found(self):
        for query in ("?unit=abc", f"?unit={2**70}", "?unit=1&stage=moon", "?crate=-1"):
            with self.subTest(query):
                answer = self.as_("tomas").get(self.address(query))
                assert answer.status_code == 404

    def test_without_a_machine_it_asks_which(self):
        page = self.as_("tomas").get(self.address("?")).content.decode()
        assert f"?unit={self.unit.pk}" in page
        assert "?stage=count" in page

    def test_a_closed_crate_is_opened_first(self):
        address = self.address(f"?crate={self.closed.pk}")
        assert "Not now." in self.as_("tomas").get(address).content.decode()
        answer = self.post(f"?crate={self.closed.pk}")
        assert "has not been opened" in self.errors(answer)["__all__"]

    def test_a_second_finding_does_not_ask_about_the_crate_again(self):
        self.post()
        page = self.as_("tomas").get(self.address())
        assert "crate_condition" not in page.context["form"].fields


class OneFinding(BenchPages):
    def setUp(self):
        look = making.make_inspection(
            crate=self.crate, unit=self.unit, looked_by=self.people.tomas
        )
        self.finding = making.make_finding(look)

    def ours(self):
        Finding.objects.filter(pk=self.finding.pk).update(cause="our-handling")


class FindingPageTests(OneFinding):
    def page(self, name="mina"):
        answer = self.as_(name).get(self.url("finding", self.finding.pk))
        assert answer.status_code == 200
        return answer.content.decode()

    def test_facts_stand_apart_from_opinion_and_both_filings_are_named(self):
        page = self.page()
        assert page.index("<h2>Facts</h2>") < page.index("<h2>Opinion</h2>")
        assert self.shipment.carrier.name in page
        assert self.shipment.supplier.name.replace("&", "&amp;") in page
        assert "Notice of concealed damage and request for inspection" in page
        assert "The crate was OK outside" in page

    def test_handling_here_waits_for_the_manager(self):
        self.ours()
        assert self.url("answer_handling", self.finding.pk) in self.page()
        assert "The technician marked it as our handling" in self.page()
        assert self.url("answer_handling", self.finding.pk) not in self.page("tomas")

    def test_the_manager_writes_to_carrier_and_supplier_from_here(self):
        for kind in ("concealed", "supplier"):
            address = self.url("write_notice", self.shipment.pk, kind)
            assert f"{address}?delivery={self.truck.pk}" in self.page()
            assert address not in self.page("tomas")

    def test_a_hold_is_said(self):
        hold = making.make_hold(self.unit)
        said = f"{self.unit}: {hold.reason} Do not repair, run, move off site"
        assert escape(said) in self.page("tomas")

    def test_a_claimed_finding_names_its_claim(self):
        claim = making.make_claim(self.shipment)
        making.make_claim_line(claim, finding=self.finding)
        assert claim.number in self.page()

    def test_prices_are_for_those_who_see_claims(self):
        self.finding.parts.create(description="Shell", quantity=1, price_cents=12_345)
        assert "$123.45" in self.page()
        assert "$123.45" not in self.page("rosa")


class EditFindingTests(OneFinding):
    def post(self, **over):
        values = {
            "version": "1",
            "damage_kind": "cracked",
            "severity": "severe",
            "facts": "Two cracks.",
            "cause": "transit",
            "parts-TOTAL_FORMS": "4",
            "parts-INITIAL_FORMS": "0",
        }
        return self.as_("tomas").post(
            self.url("edit_finding", self.finding.pk), {**values, **over}
        )

    def test_a_change_and_a_photo_are_kept(self):
        answer = self.post(photos=[photo()])
        self.assertRedirects(answer, self.url("finding", self.finding.pk))
        self.finding.refresh_from_db()
        assert (self.finding.facts, self.finding.version) == ("Two cracks.", 2)
        assert self.finding.photos.count() == 1

    def test_a_stale_form_keeps_what_was_typed_and_can_be_saved_again(self):
        Finding.objects.filter(pk=self.finding.pk).update(version=3)
        answer = self.post()
        assert (
            "Someone changed this after you opened it" in self.errors(answer)["__all__"]
        )
        assert "Two cracks." in answer.content.decode()
        assert answer.context["form"]["version"].value() == "3"

    def test_a_damaged_version_is_said(self):
        for version in ("", "abc", "-1", "9" * 30):
            with self.subTest(version):
                assert "version" in self.errors(self.post(version=version))

    def test_handling_here_is_not_written_away(self):
        self.ours()
        assert "cannot be changed here" in self.errors(self.post())["__all__"]

    def test_the_form_opens_with_what_was_told(self):
        self.finding.parts.create(description="Shell", quantity=2)
        page = self.as_("tomas").get(self.url("edit_finding", self.finding.pk))
        form = page.context["form"]
        assert form["facts"].value() == self.finding.facts
        assert form.line_sets["parts"][0]["count"].value() == 2
        assert form["repair_minutes"].value() == "1:30"

    def test_a_finding_with_many_parts_loses_none_of_them(self):
        for number in range(6):
            self.finding.parts.create(description=f"Bolt {number}", quantity=1)
        address = self.url("edit_finding", self.finding.pk)
        page = self.as_("tomas").get(address)
        lines = page.context["form"].line_sets["parts"]
        typed = {
            field.html_name: field.value() or "" for line in lines for field in line
        }
        self.post(**typed, **{"parts-TOTAL_FORMS": str(len(lines))})
        assert self.finding.parts.count() == 6


class DecisionTests(OneFinding):
    def post(self, name, **data):
        return self.as_("mina").post(
            self.url(name, self.finding.pk), {"version": "1", **data}
        )

    def test_a_part_is_priced(self):
        part = self.finding.parts.create(description="Shell", quantity=1)
        answer = self.post("price_finding", **{f"price_{part.pk}": "400.50"})
        self.assertRedirects(answer, self.url("finding", self.finding.pk))
        part.refresh_from_db()
        self.finding.refresh_from_db()
        assert (part.price_cents, self.finding.rate_cents) == (40_050, 12_500)

    def test_a_price_is_a_plain_amount(self):
        part = self.finding.parts.create(description="Shell", quantity=1)
        for price in ("-1", "1.005", "NaN", "1e9", "٣", "9" * 40, "ten"):
            with self.subTest(price):
                answer = self.post("price_finding", **{f"price_{part.pk}": price})
                assert f"price_{part.pk}" in self.errors(answer)
        part.refresh_from_db()
        assert part.price_cents is None

    def test_a_safety_part_asks_how_it_is_put_right(self):
        Finding.objects.filter(pk=self.finding.pk).update(is_safety_part=True)
        assert "safety_basis" in self.errors(self.post("price_finding"))
        answer = self.post("price_finding", safety_basis="instruction")
        assert "safety_reference" in self.errors(answer)
        self.post(
            "price_finding", safety_basis="instruction", safety_reference="Letter 7"
        )
        self.finding.refresh_from_db()
        assert self.finding.safety_basis == "instruction"

    def test_handling_is_answered_with_a_reason(self):
        self.ours()
        assert "reason" in self.errors(
            self.post("answer_handling", answer="not-ours", reason=" ")
        )
        assert "answer" in self.errors(self.post("answer_handling", reason="So."))
        answer = self.post("answer_handling", answer="not-ours", reason="On film.")
        self.assertRedirects(answer, self.url("finding", self.finding.pk))
        self.finding.refresh_from_db()
        assert self.finding.handling_answer == "not-ours"

    def test_nothing_is_answered_that_nobody_asked(self):
        answer = self.post("answer_handling", answer="ours", reason="So.")
        assert "not marked as our handling" in self.errors(answer)["__all__"]

    def test_a_route_needs_its_reason(self):
        assert "reason" in self.errors(self.post("route_finding", route="carrier"))
        assert "route" in self.errors(
            self.post("route_finding", route="moon", reason="So.")
        )
        self.post("route_finding", route="supplier-goods", reason="Badly blocked.")
        self.finding.refresh_from_db()
        assert self.finding.route == "supplier-goods"

    def test_a_reason_far_too_long_is_said(self):
        answer = self.post("route_finding", route="carrier", reason="x" * 20_000)
        assert "Shorten" in self.errors(answer)["reason"]


class ReleaseTests(BenchPages):
    def setUp(self):
        self.hold = making.make_hold(self.unit)

    def post(self, **over):
        values = {"how": "inspected", "reason": "Their man was here on 11 March."}
        return self.as_("mina").post(
            self.url("release_hold", self.hold.pk), {**values, **over}
        )

    def is_open(self):
        self.hold.refresh_from_db()
        return self.hold.released_at is None

    def test_an_inspection_releases_and_keeps_its_report(self):
        answer = self.post(photos=[photo("report.jpg")])
        self.assertRedirects(answer, self.url("unit", self.unit.pk))
        assert not self.is_open()
        assert Evidence.objects.get().kind == "inspection-report"

    def test_a_waiver_has_to_be_kept(self):
        assert "waiver" in self.errors(self.post(how="waived"))["__all__"]
        assert self.is_open()
        self.post(how="waived", photos=[photo("waiver.jpg")])
        assert not self.is_open()
        assert Evidence.objects.get().kind == "inspection-waiver"

    def test_a_photo_is_filed_as_what_the_corrected_form_says(self):
        self.errors(self.post(how="", photos=[photo("waiver.jpg")]))
        kept = Evidence.objects.get()
        assert kept.kind == "other"
        self.post(how="waived", photos_kept=[str(kept.pk)])
        assert not self.is_open()
        filed = Evidence.objects.get(kind="inspection-waiver")
        assert filed.original_id == kept.original_id
        assert filed.unit == self.unit

    def test_a_photo_of_the_right_kind_is_not_filed_again(self):
        self.errors(self.post(reason="", how="waived", photos=[photo("waiver.jpg")]))
        kept = Evidence.objects.get()
        self.post(how="waived", photos_kept=[str(kept.pk)])
        assert not self.is_open()
        assert Evidence.objects.get() == kept

    def test_the_manager_needs_photos(self):
        assert "photos" in self.errors(self.post(how="manager"))["__all__"]
        assert self.is_open()
        self.post(how="manager", photos=[photo()])
        assert not self.is_open()

    def test_bad_input_says_what_to_do(self):
        for over, field in (
            ({"how": ""}, "how"),
            ({"how": "magic"}, "how"),
            ({"reason": ""}, "reason"),
            ({"reason": "x" * 1001}, "reason"),
        ):
            with self.subTest(over=str(over)[:30]):
                assert field in self.errors(self.post(**over))
        assert self.is_open()

    def test_a_technician_may_not_release(self):
        answer = self.as_("tomas").post(self.url("release_hold", self.hold.pk), {})
        assert answer.status_code == 403
        assert self.is_open()


class GateTests(OneFinding):
    def addresses(self):
        return [
            self.url("open_crate", self.closed.pk),
            self.url("inspect_unit", self.unit.pk, "uncrating"),
            self.url("record_finding", self.shipment.pk, query=f"?unit={self.unit.pk}"),
            self.url("edit_finding", self.finding.pk),
            self.url("price_finding", self.finding.pk),
            self.url("answer_handling", self.finding.pk),
            self.url("route_finding", self.finding.pk),
            self.url("release_hold", making.make_hold(self.unit).pk),
        ]

    def test_a_stranger_finds_nothing_and_the_clerk_may_not(self):
        for address in [*self.addresses(), self.url("finding", self.finding.pk)]:
            with self.subTest(address):
                assert self.as_("nell").get(address).status_code == 404
        Hold.objects.all().delete()
        for address in self.addresses():
            with self.subTest(address):
                assert self.as_("rosa").get(address).status_code == 403

    def test_the_manager_may(self):
        for address in self.addresses():
            with self.subTest(address):
                assert self.as_("mina").get(address).status_code == 200

    def test_someone_not_signed_in_is_led_to_the_door(self):
        for address in self.addresses():
            with self.subTest(address):
                answer = self.client.get(address)
                assert answer.status_code == 302
                assert reverse("login") in answer["Location"]

    def test_no_other_method_is_answered(self):
        for address in [*self.addresses(), self.url("finding", self.finding.pk)]:
            with self.subTest(address):
                assert self.as_("mina").put(address).status_code == 405
        assert self.as_("mina").post(self.url("bench")).status_code == 405
