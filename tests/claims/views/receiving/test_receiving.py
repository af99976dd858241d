"""Every page of the dock: it works, refuses, repeats what was typed, stays quick."""

import hashlib
import uuid
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from claims.models import Finding
from inventory.models import Crate, Delivery, Evidence, Handover, Shipment, Unit
from tests.making import (
    make_carrier,
    make_crate,
    make_delivery,
    make_evidence,
    make_finding,
    make_handover,
    make_inspection,
    make_notice,
    make_shipment,
    make_signed_delivery,
    make_unit,
)
from tests.people import cast
from tests.pictures import jpeg
from tests.sizes import some_of

pytestmark = pytest.mark.database

LONG = "x" * 20_000
HUGE = str(2**63)
WIDE = "\uff11\uff12"
NOT_COUNTS = ("-1", "1.5", "NaN", HUGE, WIDE, "four", "\0", LONG)
NOT_DAYS = ("2026-02-30", "9999-12-31", "tomorrow", "31/03/2026", LONG, "\0")
NOT_AMOUNTS = ("-1", "0.005", "NaN", HUGE, WIDE, "lots", LONG, "1e9")


def picture(name="look.jpg"):
    return SimpleUploadedFile(name, jpeg(), "image/jpeg")


def text_as_photo():
    return SimpleUploadedFile("photo.jpg", b"This is no photo at all.", "image/jpeg")


class Receiving(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.carrier = make_carrier(name="Plainsway Freight")
        cls.delivery = make_delivery(carrier=cls.carrier)
        cls.shipment = make_shipment(carrier=cls.carrier, pro_number="PW1")
        cls.handover = make_handover(cls.delivery, cls.shipment)
        cls.crate = make_crate(cls.shipment, delivery=cls.delivery)
        cls.other = make_crate(cls.shipment, delivery=cls.delivery)
        cls.unit = make_unit(cls.shipment, crate=cls.crate)
        cls.signed = make_signed_delivery(carrier=cls.carrier)
        cls.signed_bill = make_shipment(carrier=cls.carrier, pro_number="PW2")
        cls.signed_handover = make_handover(
            cls.signed, cls.signed_bill, words_full="PRO PW2: Count agrees."
        )
        cls.refused = make_crate(
            cls.signed_bill, delivery=cls.signed, look="refused", refused_for="leaking"
        )

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def good(self):
        """Return for every form its address and a post that is accepted."""
        version = {"version": "1"}
        count = version | {"pieces_counted": "3"}
        truck = {"carrier": self.carrier.pk, "arrived_at": "2026-03-10 10:30"}
        machine = {"model": "TX 48", "serial": "NEW-1", "weight_unit": "lb"}
        return {
            reverse("log_delivery"): truck,
            self.url("edit_delivery", self.delivery): truck | version,
            self.url("add_bill", self.delivery): {
                "pro_number": "PW9",
                "piece_unit": "crate",
                "pieces_billed": "2",
                "pieces_counted": "2",
                "crate_kind": "one-way",
            },
            self.url("edit_handover", self.handover): count,
            self.url("add_crates", self.shipment): {
                "delivery": self.delivery.pk,
                "count": "2",
                "kind": "one-way",
            },
            self.url("edit_crate", self.crate): version
            | {"mark": "HT-9", "kind": "reusable", "deposit_cents": "150.00"},
            self.url("add_unit", self.shipment): machine,
            self.url("edit_unit", self.unit): machine | version,
            self.url("edit_shipment", self.shipment): version
            | {
                "pro_number": "PW1",
                "piece_unit": "crate",
                "weight_unit": "lb",
                "delivery_terms": "origin",
                "freight_payer": "collect",
                "contract_carriage": "no",
                "regime": "us-motor",
                "bol_on": "2026-03-03",
            },
            self.url("look", self.crate): version
            | {
                "look": "exception",
                "where": ["side-1", "top"],
                "kind": "punctured",
                "severity": "severe",
                "note": "Fork hole 20 cm",
                "no_photo_reason": "driver would not wait",
            },
            self.url("sign_receipt", self.delivery): version
            | {
                "how_signed": "signed",
                "driver_signed_name": "Lou Parr",
                "words_stand_on": "both",
                "no_photo_reason": "driver would not wait",
            },
            self.url("note_receipt", self.signed): {"text": "Also wet at the base."},
            self.url("compare_image", self.signed_handover): version
            | {"result": "words-missing", "photo": picture()},
            self.url("record_disposition", self.refused): version
            | {"disposition": "return"},
        }

    @staticmethod
    def url(name, row):
        return reverse(name, args=[row.pk])

    def pages(self):
        """Return the pages that only show."""
        return [
            reverse("dock"),
            reverse("deliveries"),
            self.url("tailgate", self.delivery),
            self.url("tailgate", self.signed),
            self.url("receipt_words", self.signed),
        ]


class TestTheRitual(Receiving):
    @pytest.mark.slow
    def test_every_page_opens(self):
        for url in [*self.pages(), *self.good()]:
            with self.subTest(url):
                self.assertEqual(self.client.get(url).status_code, 200)

    @pytest.mark.slow
    def test_every_form_does_its_act_and_goes_on(self):
        for url, post in self.good().items():
            with self.subTest(url), transaction.atomic():
                answer = self.client.post(url, post)

                self.assertEqual(answer.status_code, 302, _errors(answer))
                transaction.set_rollback(True)

    def test_an_empty_form_is_answered_with_sentences(self):
        for url in self.good():
            with self.subTest(url):
                answer = self.client.post(url, {})

                self.assertContains(answer, "There is a problem", status_code=422)

    def test_another_method_is_refused(self):
        for url in [*self.pages(), *self.good()]:
            with self.subTest(url):
                self.assertEqual(self.client.put(url).status_code, 405)
        rest = self.url("clear_rest", self.delivery)
        self.assertEqual(self.client.get(rest).status_code, 405)

    def test_the_stranger_finds_nothing(self):
        self.client.force_login(self.who.nell)
        own = {reverse("dock"), reverse("deliveries"), reverse("log_delivery")}

        for url in {*self.pages(), *self.good()} - own:
            with self.subTest(url):
                self.assertEqual(self.client.get(url).status_code, 404)
                self.assertEqual(
                    self.client.post(url, {}).status_code in {404, 405}, True
                )
        rest = self.url("clear_rest", self.delivery)
        self.assertEqual(self.client.post(rest, {"count": "2"}).status_code, 404)

    def test_the_strangers_lists_are_empty(self):
        self.client.force_login(self.who.nell)

        for name in ("dock", "deliveries"):
            self.assertNotContains(self.client.get(reverse(name)), "Plainsway")

    def test_the_wrong_role_is_told_whose_it_is(self):
        for_clerk = [
            reverse("log_delivery"),
            self.url("edit_delivery", self.delivery),
            self.url("add_bill", self.delivery),
            self.url("edit_handover", self.handover),
            self.url("sign_receipt", self.delivery),
            self.url("note_receipt", self.signed),
            self.url("compare_image", self.signed_handover),
            self.url("record_disposition", self.refused),
        ]
        self.client.force_login(self.who.abel)
        looks = [self.url("look", self.crate), self.url("add_crates", self.shipment)]
        for url in [*for_clerk, *looks]:
            with self.subTest(url):
                answer = self.client.get(url)
                self.assertContains(answer, "receiving clerk", status_code=403)

        self.client.force_login(self.who.tomas)
        for url in for_clerk:
            with self.subTest(url):
                self.assertEqual(self.client.post(url, {}).status_code, 403)
        self.assertEqual(self.client.get(looks[0]).status_code, 200)

    def test_nobody_gets_in_without_signing_in(self):
        self.client.logout()

        for url in [*self.pages(), *self.good()]:
            with self.subTest(url):
                answer = self.client.get(url)
                self.assertTrue(
                    answer.headers["Location"].startswith("/accounts/login/")
                )

    def test_the_administrator_alone_sees_no_dock(self):
        self.client.force_login(self.who.ada)

        self.assertEqual(self.client.get(reverse("dock")).status_code, 403)


def _errors(answer):
    form = getattr(answer, "context", None) and answer.context.get("form")
    return form.errors if form else ""


class TestBadInput(Receiving):
    def bad(self):
        """Return for every form which fields take which wrong texts."""
        names = {
            "driver_name": (LONG,),
            "trailer_number": (LONG,),
            "carrier": ("0", HUGE, "x", "\0"),
        }
        moments = {"arrived_at": ("2026-02-30 10:00", "9999-12-31 10:00", "now", "")}
        stale = {"version": ("", "x", "-1", HUGE, WIDE)}
        counts = {"pieces_counted": NOT_COUNTS}
        machine = {
            "model": ("", LONG, "\0"),
            "serial": (LONG,),
            "crate": (self.refused.pk, "0", "x"),
            "invoice_cents": NOT_AMOUNTS,
            "weight": ("0", *NOT_AMOUNTS[:1], "heavy", WIDE, LONG),
            "weight_unit": ("st",),
        }
        return {
            reverse("log_delivery"): names | moments | {"carrier_name": (LONG,)},
            self.url("edit_delivery", self.delivery): names | moments | stale,
            self.url("add_bill", self.delivery): counts
            | {
                "pro_number": ("", LONG, "\0"),
                "pieces_billed": ("0", *NOT_COUNTS),
                "piece_unit": ("lorry",),
                "crates": NOT_COUNTS,
                "supplier": ("0", "x", HUGE),
            },
            self.url("edit_handover", self.handover): counts | stale,
            self.url("add_crates", self.shipment): {
                "count": ("", "0", "201", *NOT_COUNTS),
                "delivery": ("", "0", "x", str(self.signed.pk)),
                "kind": ("wicker",),
            },
            self.url("edit_crate", self.crate): stale
            | {"mark": (LONG,), "deposit_cents": NOT_AMOUNTS, "kind": ("",)},
            self.url("add_unit", self.shipment): machine,
            self.url("edit_unit", self.unit): machine | stale,
            self.url("edit_shipment", self.shipment): stale
            | {
                "pro_number": ("", LONG),
                "bol_number": (LONG,),
                "bol_on": NOT_DAYS,
                "pieces_billed": ("0", *NOT_COUNTS),
                "billed_weight": ("0", "-1", "heavy", LONG),
                "currency": ("US", "1$2", LONG),
                "freight_charge_cents": NOT_AMOUNTS,
                "delivery_terms": ("", "CIF"),
                "regime": ("lunar",),
                "supplier": ("0", "x"),
            },
            self.url("look", self.crate): stale
            | {
                "look": ("fine",),
                "where": (["roof"], []),
                "kind": ("", "exploded"),
                "severity": ("", "awful"),
                "note": (LONG,),
                "no_photo_reason": ("", "lazy"),
                "photos": (text_as_photo(), SimpleUploadedFile("a.jpg", b"")),
            },
            self.url("sign_receipt", self.delivery): stale
            | {
                "how_signed": ("", "stamped"),
                "driver_signed_name": (LONG,),
                "witness_name": (LONG,),
                "words_stand_on": ("napkin",),
                "no_photo_reason": ("", "lazy"),
                "photo": (text_as_photo(),),
            },
            self.url("note_receipt", self.signed): {"text": ("", LONG, "\0", "\n" * 9)},
            self.url("compare_image", self.signed_handover): stale
            | {"result": ("", "maybe"), "photo": (text_as_photo(), "")},
            self.url("record_disposition", self.refused): stale
            | {"disposition": ("", "eaten")},
        }

    @pytest.mark.slow
    def test_each_wrong_text_gets_a_sentence_and_saves_nothing(self):
        before = _counts()
        good = self.good()
        for url in good:  # a good photo is kept whatever else is wrong
            good[url].pop("photo", None)
        for url, fields in self.bad().items():
            for name, texts in fields.items():
                for text in some_of(texts, 1, name):
                    with self.subTest(url=url, field=name, text=str(text)[:30]):
                        answer = self.client.post(url, good[url] | {name: text})

                        self.assertEqual(answer.status_code, 422)
                        self.assertContains(
                            answer, "There is a problem", status_code=422
                        )
                        self.assertEqual(_counts(), before)

    def test_what_was_typed_is_still_there(self):
        answer = self.client.post(
            self.url("look", self.crate),
            self.good()[self.url("look", self.crate)] | {"kind": ""},
        )

        self.assertContains(answer, "Fork hole 20 cm", status_code=422)
        self.assertContains(answer, "Choose one, such as punctured.", status_code=422)

    def test_a_photo_stays_when_another_field_is_wrong(self):
        url = self.url("look", self.crate)
        answer = self.client.post(
            url, self.good()[url] | {"severity": "", "photos": picture()}
        )

        row = Evidence.objects.get()
        ticked = f'name="photos_kept" value="{row.pk}" checked'
        self.assertContains(answer, ticked, status_code=422)

    def test_a_photo_kept_for_damage_serves_a_crate_without_any(self):
        url = self.url("look", self.crate)
        wrong = self.good()[url] | {"severity": "", "photos": picture()}
        self.client.post(url, wrong)
        kept = Evidence.objects.get()
        clear = {"version": "1", "look": "clear", "photos_kept": str(kept.pk)}

        assert self.client.post(url, clear).status_code == 302
        assert not Finding.objects.exists()

    def test_a_delivery_in_the_future_is_refused(self):
        later = timezone.now() + timedelta(days=2)
        answer = self.client.post(
            reverse("log_delivery"),
            {"carrier": self.carrier.pk, "arrived_at": f"{later:%Y-%m-%d %H:%M}"},
        )

        self.assertContains(answer, "in the future", status_code=422)

    def test_bearing_more_than_the_charge_is_refused(self):
        url = self.url("edit_shipment", self.shipment)
        answer = self.client.post(
            url,
            self.good()[url]
            | {"freight_charge_cents": "10", "freight_borne_cents": "10.01"},
        )

        self.assertContains(answer, "more than the freight charge", status_code=422)

    def fill_in(self, **over):
        url = self.url("edit_shipment", self.shipment)
        return self.client.post(url, self.good()[url] | over)

    def test_amounts_are_read_in_the_currency_that_is_typed_with_them(self):
        Unit.objects.update(invoice_cents=None)
        Crate.objects.update(deposit_cents=None)
        # A yen has no cents (ISO 4217).
        answer = self.fill_in(currency="jpy", freight_charge_cents="12.50")
        self.assertContains(answer, "JPY has no", status_code=422)
        assert (
            self.fill_in(currency="jpy", freight_charge_cents="1250").status_code == 302
        )
        self.shipment.refresh_from_db()
        assert (self.shipment.currency, self.shipment.freight_charge_cents) == (
            "JPY",
            1250,
        )
        answer = self.fill_in(currency="US", version="2")
        self.assertContains(answer, "three capital letters", status_code=422)

    def test_the_currency_stays_once_an_amount_stands_in_it(self):
        Unit.objects.update(invoice_cents=100)
        Crate.objects.update(deposit_cents=None)
        make_finding(make_inspection(self.shipment), rate_cents=9_500)
        answer = self.fill_in(currency="CAD")
        told = "stays USD: a machine has its value, and a finding has its prices in it."
        self.assertContains(answer, told, status_code=422)
        self.shipment.refresh_from_db()
        assert (self.shipment.currency, self.shipment.version) == ("USD", 1)

    def test_a_stale_form_keeps_the_text_and_can_be_saved_again(self):
        url = self.url("edit_crate", self.crate)
        self.client.post(url, self.good()[url])
        answer = self.client.post(url, self.good()[url] | {"mark": "MINE"})

        self.assertContains(answer, "changed this after you opened it", status_code=422)
        self.assertContains(answer, "MINE", status_code=422)
        self.assertContains(answer, 'name="version" value="2"', status_code=422)

    def test_a_key_beyond_the_database_is_not_found(self):
        for name in ("tailgate", "look", "sign_receipt", "edit_unit", "edit_shipment"):
            answer = self.client.get(reverse(name, args=[2**70]))
            self.assertEqual(answer.status_code, 404)


def _counts():
    models = (Delivery, Shipment, Handover, Crate, Unit, Finding, Evidence)
    return [model.objects.count() for model in models]


class TestWhatTheActsDo(Receiving):
    def test_a_new_carrier_is_typed_right_there(self):
        self.client.post(
            reverse("log_delivery"),
            {"carrier_name": "Gannet Overland", "arrived_at": "2026-03-10 10:30"},
        )

        row = Delivery.objects.get(carrier__name="Gannet Overland")
        assert str(row.arrived_at) == "2026-03-10 15:30:00+00:00"
        assert str(row.arrived_on) == "2026-03-10"

    def test_the_carriers_that_came_last_are_tiles_and_none_is_chosen(self):
        make_carrier(name="Aardvark Cartage")
        for number in range(6):
            late = make_carrier(name=f"Carrier {number}")
            make_delivery(carrier=late, arrived_at=timezone.now())

        page = self.client.get(reverse("log_delivery"))

        field = page.context["form"].fields["carrier"]
        names = [words for _, words in field.choices]
        assert names[:6] == [f"Carrier {number}" for number in (5, 4, 3, 2, 1, 0)]
        assert field.first == 5
        self.assertNotContains(page, "checked")

    def test_the_load_is_photographed_as_the_truck_is_logged(self):
        self.client.post(
            reverse("log_delivery"),
            {
                "carrier": self.carrier.pk,
                "arrived_at": "2026-03-11 10:30",
                "photo": picture(),
            },
        )

        row = Delivery.objects.get(arrived_on="2026-03-11")
        assert row.evidence.get().kind == "load"

    def wrong_truck(self, **over):
        """Send a photo with a truck whose time is missing; return the answer."""
        post = {"carrier": self.carrier.pk, "arrived_at": "", "photo": picture()}
        return self.client.post(reverse("log_delivery"), post | over)

    @staticmethod
    def tokens(answer):
        return [one.token for one in answer.context["form"]["photo"].held]

    def test_the_photo_of_the_load_stays_when_another_field_is_wrong(self):
        first = self.wrong_truck()
        (token,) = self.tokens(first)
        self.assertContains(
            first, f'name="photo_held" value="{token}"', status_code=422
        )
        self.assertNotContains(first, "Choose the photos again", status_code=422)
        again = self.wrong_truck(photo="", photo_held=token)
        assert self.tokens(again) == [token]
        assert Evidence.objects.count() == 0

        good = {
            "carrier": self.carrier.pk,
            "arrived_at": "2026-03-11 10:30",
            "photo_held": token,
            "photo_batch": str(uuid.uuid4()),
        }
        for _ in range(2):
            self.client.post(reverse("log_delivery"), good)

        row = Evidence.objects.get()
        assert row.delivery.arrived_on.isoformat() == "2026-03-11"
        assert (row.kind, row.file_name) == ("load", "look.jpg")
        assert row.original_id == hashlib.sha256(jpeg()).hexdigest()

    def test_a_bad_photo_of_the_load_is_named_beside_the_wrong_field(self):
        answer = self.wrong_truck(photo=text_as_photo())

        assert self.tokens(answer) == []
        assert set(answer.context["form"].errors) >= {"photo", "arrived_at"}

    def test_a_photo_held_by_another_person_is_not_taken(self):
        (token,) = self.tokens(self.wrong_truck())
        self.client.force_login(self.who.mina)
        self.client.post(
            reverse("log_delivery"),
            {
                "carrier": self.carrier.pk,
                "arrived_at": "2026-03-11 10:30",
                "photo_held": [token, "no token", "x:y"],
            },
        )

        assert Delivery.objects.filter(arrived_on="2026-03-11").exists()
        assert Evidence.objects.count() == 0

    def test_a_refused_signature_is_nowhere_called_signed(self):
        self.signed.how_signed = "refused"
        self.signed.signed_at = timezone.now()
        self.signed.save()
        refused = "Driver refused to sign"

        for url in (
            reverse("deliveries"),
            self.url("tailgate", self.signed),
        ):
            page = self.client.get(url)
            self.assertContains(page, refused)
            self.assertNotContains(page, "Signed.")
            self.assertNotContains(page, "as signed")
            self.assertNotContains(page, ">Signed<")

    def test_a_bad_photo_does_not_lose_the_truck(self):
        answer = self.client.post(
            reverse("log_delivery"),
            {
                "carrier": self.carrier.pk,
                "arrived_at": "2026-03-11 10:30",
                "photo": text_as_photo(),
            },
            follow=True,
        )

        self.assertContains(answer, "The truck is logged, but its photo is not")
        assert Delivery.objects.filter(arrived_on="2026-03-11").exists()

    def test_crates_follow_the_count_where_the_bill_counts_crates(self):
        self.client.post(
            self.url("add_bill", self.delivery),
            {
                "pro_number": "pw77",
                "piece_unit": "crate",
                "pieces_counted": "3",
                "crate_kind": "reusable",
            },
        )

        bill = Shipment.objects.get(pro_number="PW77")
        assert list(bill.crates.values_list("number", "kind")) == [
            (1, "reusable"),
            (2, "reusable"),
            (3, "reusable"),
        ]

    def test_an_exception_with_a_photo_makes_a_finding_that_points_at_it(self):
        url = self.url("look", self.crate)
        self.client.post(
            url, self.good()[url] | {"photos": [picture()], "no_photo_reason": ""}
        )

        found = Finding.objects.get()
        assert found.faces == "side-1,top"
        assert found.photos.get().crate == self.crate
        assert self.crate.inspections.get().note == ""

    def test_the_same_upload_twice_is_kept_once(self):
        url = self.url("look", self.crate)
        post = self.good()[url] | {"photos_batch": str(uuid.uuid4())}
        self.client.post(url, post | {"photos": [picture()], "severity": "awful"})
        self.client.post(url, post | {"photos": [picture()]})
        self.client.post(url, post | {"photos": [picture()], "version": "2"})

        assert Evidence.objects.count() == 1

    def test_a_refusal_needs_its_reason(self):
        url = self.url("look", self.crate)
        answer = self.client.post(url, self.good()[url] | {"look": "refused"})

        self.assertContains(
            answer, "Choose the reason for refusing it.", status_code=422
        )

    def test_the_button_for_the_rest_names_how_many(self):
        tailgate = self.url("tailgate", self.delivery)
        make_evidence(delivery=self.delivery, kind="load")
        both = self.client.get(tailgate)
        self.assertContains(both, "No visible damage on all 2")
        self.crate.look = "exception"
        self.crate.save()
        self.assertContains(
            self.client.get(tailgate), "No visible damage on the other crate"
        )
        self.crate.look = ""
        self.crate.save()

        self.client.post(self.url("clear_rest", self.delivery), {"count": "2"})

        assert set(self.delivery.crates.values_list("look", flat=True)) == {"clear"}

    def test_a_wrong_number_of_the_rest_changes_nothing(self):
        for count in ("3", "", "x", HUGE):
            answer = self.client.post(
                self.url("clear_rest", self.delivery), {"count": count}, follow=True
            )
            self.assertContains(answer, "Nothing was changed")

        assert set(self.delivery.crates.values_list("look", flat=True)) == {""}

    def test_the_words_have_both_forms_and_say_what_does_not_help(self):
        url = self.url("look", self.crate)
        self.client.post(url, self.good()[url])

        page = self.client.get(self.url("receipt_words", self.delivery))

        self.assertContains(page, "side 1 (label side) and top punctured, severe")
        self.assertContains(page, "CRATE 1 side 1+top punctured")
        self.assertContains(page, "of 160</strong>")
        self.assertContains(page, "severity and your note on crate 1")
        self.assertNotContains(page, "Sign the receipt")
        page = self.client.get(self.url("sign_receipt", self.delivery))
        self.assertContains(page, "do not help")

    def test_the_signature_says_who_files_to_whom_by_when(self):
        page = self.client.get(self.url("sign_receipt", self.delivery))

        self.assertContains(page, "We bear the loss, and we claim from the carrier.")
        self.assertContains(page, "Notice of concealed damage")
        self.assertContains(page, "We, to Plainsway Freight")

    def test_after_the_signature_every_change_is_refused(self):
        good = self.good()
        self.client.post(
            self.url("sign_receipt", self.delivery),
            good[self.url("sign_receipt", self.delivery)],
        )
        closed = [
            self.url("edit_delivery", self.delivery),
            self.url("add_bill", self.delivery),
            self.url("edit_handover", self.handover),
            self.url("look", self.crate),
            self.url("sign_receipt", self.delivery),
        ]
        for url in closed:
            with self.subTest(url):
                answer = self.client.post(url, good[url])
                self.assertContains(answer, "record is closed", status_code=422)

    def test_missing_words_stand_late_on_the_desk_until_the_protest_is_proven(self):
        self.signed_handover.carrier_image = "words-missing"
        self.signed_handover.save()

        desk = self.client.get(reverse("dock"))
        self.assertContains(desk, "Exceptions missing from the POD")
        self.assertContains(desk, "Your manager writes the protest letter.")

        notice = make_notice(self.signed_bill, kind="protest", delivery=self.signed)
        self.assertContains(self.client.get(reverse("dock")), "Protest: written")
        notice.sent_on = notice.received_on = "2026-03-12"
        notice.save()
        self.assertNotContains(self.client.get(reverse("dock")), "Protest")

    def test_an_image_is_asked_for_after_two_days(self):
        self.signed.signed_at = timezone.now() - timedelta(hours=47)
        self.signed.save()
        self.assertNotContains(self.client.get(reverse("dock")), "Ask the carrier for")

        self.signed.signed_at = timezone.now() - timedelta(hours=49)
        self.signed.save()
        self.assertContains(self.client.get(reverse("dock")), "Ask the carrier for")

    def test_the_desk_names_what_is_still_to_fill(self):
        make_shipment(pro_number="BARE", bol_number="", billed_weight="")

        self.assertContains(
            self.client.get(reverse("dock")), "BOL number, weight, machines"
        )


class TestTheSameNumberOfQueries(Receiving):
    def queries(self, url):
        self.client.get(url)
        with CaptureQueriesContext(
            connection,
        ) as seen:
            self.assertEqual(self.client.get(url).status_code, 200)
        return len(seen)

    def grow(self):
        for _ in range(20):
            truck = make_delivery(carrier=make_carrier())
            bill = make_shipment(carrier=truck.carrier, bol_number="")
            make_handover(truck, bill)
            make_crate(bill, delivery=truck)
            signed = make_signed_delivery(carrier=truck.carrier)
            make_handover(signed, bill, carrier_image="words-missing")
            make_handover(self.delivery, bill)
            crate = make_crate(bill, delivery=self.delivery, look="exception")
            inspection = crate.inspections.create(
                shipment=bill,
                stage="tailgate",
                looked_at=truck.arrived_at,
                looked_on=truck.arrived_on,
                looked_by=self.who.rosa,
            )
            Finding.objects.create(
                inspection=inspection,
                shipment=bill,
                crate=crate,
                delivery=self.delivery,
                number=bill.findings.count() + 1,
                damage_kind="dented",
                severity="slight",
                facts="Dented.",
                could_be_seen=True,
                could_be_seen_derived=True,
                recorded_at=truck.arrived_at,
                recorded_by=self.who.rosa,
            )

    @pytest.mark.slow
    def test_lists_ask_as_much_for_twenty_as_for_one(self):
        self.signed_handover.carrier_image = "words-missing"
        self.signed_handover.save()
        urls = [
            reverse("dock"),
            reverse("deliveries"),
            self.url("tailgate", self.delivery),
            self.url("sign_receipt", self.delivery),
        ]
        few = [self.queries(url) for url in urls]

        self.grow()

        assert [self.queries(url) for url in urls] == few

    def test_a_page_out_of_range_is_the_last_one(self):
        for page in ("0", "-1", "999", "x", HUGE, WIDE):
            answer = self.client.get(reverse("deliveries"), {"page": page})
            self.assertEqual(answer.status_code, 200)
