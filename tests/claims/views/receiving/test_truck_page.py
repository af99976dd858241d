"""The truck's page: tiles, the one act that comes next, facts of one tap, and Undo."""

import re

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape

from claims.models import Finding, Inspection
from inventory.models import Crate, Delivery, Event, Handover
from inventory.rules.core.vocabulary import BILL_ENDINGS, HOW_SIGNED
from tests.making import (
    make_crate,
    make_delivery,
    make_evidence,
    make_finding,
    make_handover,
    make_inspection,
    make_notice,
    make_shipment,
    make_supplier,
)
from tests.people import cast

pytestmark = pytest.mark.database

EXCEPTION = {
    "version": "1",
    "look": "exception",
    "where": ["side-1"],
    "kind": "punctured",
    "severity": "severe",
    "no_photo_reason": "too dark to see",
}


class TruckPage(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.delivery = make_delivery()
        cls.shipment = make_shipment(carrier=cls.delivery.carrier, pieces_billed=2)
        cls.handover = make_handover(cls.delivery, cls.shipment, pieces_counted=None)
        cls.crate = make_crate(cls.shipment, delivery=cls.delivery)
        cls.other = make_crate(cls.shipment, delivery=cls.delivery)
        cls.page = reverse("tailgate", args=[cls.delivery.pk])

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def count(self, pieces="2"):
        return self.client.post(
            reverse("edit_handover", args=[self.handover.pk]),
            {
                "version": str(self.fresh(self.handover).version),
                "pieces_counted": pieces,
            },
            follow=True,
        )

    def photograph_load(self):
        make_evidence(delivery=self.delivery, kind="load")

    def look(self, **over):
        return self.client.post(
            reverse("look", args=[self.crate.pk]), EXCEPTION | over, follow=True
        )

    def clear_rest(self, count=2):
        address = reverse("clear_rest", args=[self.delivery.pk])
        return self.client.post(address, {"count": str(count)}, follow=True)

    def undo(self, answer):
        """Press Undo in the message of this answer."""
        (message,) = [one for one in answer.context["messages"] if one.extra_tags]
        self.assertContains(answer, f'action="{message.extra_tags}"')
        return self.client.post(message.extra_tags, follow=True)

    def close(self, how="signed"):
        Handover.objects.filter(pk=self.handover.pk).update(
            how_signed=how, signed_at=timezone.now(), signed_by=self.who.rosa
        )

    @staticmethod
    def fresh(row):
        return type(row).everything.get(pk=row.pk)


class TestTheActThatComesNext(TruckPage):
    def act(self):
        return self.client.get(self.page).context["truck"].act

    def test_load_then_count_then_the_rest_then_the_exceptions(self):
        assert self.act() == "load"
        self.photograph_load()
        assert self.act() == "count"
        self.count()
        assert self.act() == "rest"
        self.clear_rest()
        assert self.act() == "write"

    def test_a_truck_without_a_bill_asks_for_one(self):
        bare = reverse("tailgate", args=[make_delivery().pk])

        assert self.client.get(bare).context["truck"].act == "add-bill"

    def test_the_rest_wait_for_the_count(self):
        self.photograph_load()

        self.assertContains(self.clear_rest(), "is not counted yet")
        assert self.fresh(self.crate).look == ""

    def test_the_rest_wait_for_a_photo_of_the_load(self):
        self.count()

        self.assertContains(self.clear_rest(), "no photo of the load yet")
        assert self.fresh(self.crate).look == ""

    def test_the_rest_are_of_the_outside_only(self):
        self.photograph_load()
        self.count()
        self.assertContains(self.client.get(self.page), "Outside only")
        self.clear_rest()

        notes = Inspection.objects.values_list("note", flat=True)
        assert set(notes) == {"Outside only."}

    def test_the_rest_leave_a_closed_bill_alone(self):
        self.photograph_load()
        self.count()
        bill = make_shipment(carrier=self.delivery.carrier)
        make_handover(self.delivery, bill)
        make_crate(bill, delivery=self.delivery)
        self.close()

        self.clear_rest(1)

        assert self.fresh(self.crate).look == ""
        assert Crate.objects.get(shipment=bill).look == "clear"


class TestTheEnding(TruckPage):
    def endings(self):
        page = self.client.get(self.page).content.decode()
        said = re.findall(r'<p class="ending">(.*?)</p>', page, re.DOTALL)
        states = [re.search(r'class="state (\w+)"', one)[1] for one in said]
        assert all("<svg" in one for one in said)
        words = [re.search(r"<span>([^<]+)</span></span>", one)[1] for one in said]
        return list(zip(states, words, strict=True))

    def test_each_bill_says_how_its_receipt_ended_over_its_tiles(self):
        for how, words in HOW_SIGNED.items():
            if how not in BILL_ENDINGS:
                continue
            with self.subTest(how=how):
                self.close(how)
                mark = "kept" if how == "signed" else "running"
                assert self.endings() == [(mark, escape(words))]

    def test_an_open_bill_says_nothing_yet(self):
        bill = make_shipment(carrier=self.delivery.carrier)
        make_handover(self.delivery, bill)
        self.close("refused")

        assert self.endings() == [("running", "Driver refused to sign")]

    def test_a_truck_signed_as_one_says_so_on_its_bills(self):
        Delivery.objects.filter(pk=self.delivery.pk).update(
            how_signed="signed", signed_at=timezone.now(), signed_by=self.who.rosa
        )

        assert self.endings() == [
            ("kept", "Signed with our exceptions, with the truck")
        ]


class TestTheCount(TruckPage):
    def test_nothing_is_counted_before_somebody_taps(self):
        page = self.client.get(self.page)

        self.assertContains(page, "2 billed, not counted")
        self.assertContains(page, "All 2 here")
        self.assertNotContains(page, "2 counted")
        form = self.client.get(reverse("edit_handover", args=[self.handover.pk]))
        assert form.context["form"]["pieces_counted"].value() is None

    def test_all_here_is_one_tap(self):
        self.count()

        self.assertContains(self.client.get(self.page), "2 billed, 2 counted")

    def test_a_bill_in_skids_says_skids(self):
        self.shipment.piece_unit = "skid"
        self.shipment.save()

        self.assertContains(self.client.get(self.page), "2 skids billed, not counted")

    def test_a_crate_over_the_count_says_so_on_its_tile(self):
        self.crate.is_over = True
        self.crate.save()

        page = self.client.get(self.page)

        self.assertContains(page, "Crate 1: Not inspected, Over, held")

    def test_handling_units_are_counted_beside_the_pieces(self):
        self.shipment.handling_billed = 1
        self.shipment.save()
        self.assertContains(self.client.get(self.page), "All here: 1 skid, 2 crates")

        self.client.post(
            reverse("edit_handover", args=[self.handover.pk]),
            {"version": "1", "pieces_counted": "2", "handling_counted": "1"},
        )

        assert self.fresh(self.handover).handling_counted == 1
        assert "1 skid, 2 crates" in Event.objects.last().data["counted"]

    def test_a_second_truck_is_counted_on_its_own(self):
        bill = make_shipment(carrier=self.delivery.carrier, pieces_billed=4)
        first = make_delivery(
            carrier=self.delivery.carrier,
            arrived_at=self.delivery.arrived_at.replace(day=9),
        )
        make_handover(first, bill, pieces_counted=2, rest_to_follow=True)
        second = make_delivery(carrier=self.delivery.carrier)
        make_handover(second, bill, pieces_counted=None)

        page = self.client.get(reverse("tailgate", args=[second.pk]))

        self.assertContains(page, "4 billed, 2 earlier, not counted")
        self.assertContains(page, "All 2 here")


class TestTheCrate(TruckPage):
    def test_a_side_means_exception_where_no_button_says_otherwise(self):
        self.look(look="")

        assert self.fresh(self.crate).look == "exception"

    def test_a_damage_with_no_visible_damage_is_asked_about(self):
        answer = self.look(look="clear")

        self.assertContains(answer, "You tapped a damage", status_code=422)
        assert self.fresh(self.crate).look == ""

    def test_nothing_tapped_saves_nothing(self):
        answer = self.client.post(
            reverse("look", args=[self.crate.pk]), {"version": "1"}
        )

        self.assertContains(answer, "Press No visible damage", status_code=422)

    def test_to_refuse_names_the_manager_and_what_usually_serves(self):
        page = self.client.get(reverse("look", args=[self.crate.pk]))

        self.assertContains(page, "What usually serves: keep it")
        self.assertContains(
            page, "<strong>Mina Okoro</strong>: no phone number on file"
        )
        self.assertContains(page, "does not go back on the road by a tap")
        self.assertNotContains(page, 'id="refuse" open')

    def test_to_refuse_calls_the_manager_by_a_tap(self):
        self.who.mina.phone = "(402) 555-0131"
        self.who.mina.save()

        page = self.client.get(reverse("look", args=[self.crate.pk]))

        self.assertContains(page, 'href="tel:4025550131"')
        self.assertContains(page, "Mina Okoro<span>(402) 555-0131</span>")

    def test_a_refusal_without_its_reason_opens_it(self):
        answer = self.look(look="refused")

        self.assertContains(answer, 'id="refuse" open', status_code=422)
        self.assertContains(
            answer, "Choose the reason for refusing it.", status_code=422
        )

    def test_the_cautions_are_at_the_truck_and_at_the_crate(self):
        for page in (self.page, reverse("look", args=[self.crate.pk])):
            self.assertContains(
                self.client.get(page), "Do not move it and do not ship it"
            )


class TestFacts(TruckPage):
    def tap(self, **fact):
        address = reverse("record_fact", args=[self.delivery.pk])
        return self.client.post(address, fact, follow=True)

    def test_a_tap_records_this_moment(self):
        before = timezone.now()

        self.tap(now="started_at")
        self.tap(now="departed_at")

        row = self.fresh(self.delivery)
        assert before <= row.started_at <= row.departed_at <= timezone.now()

    def test_each_chip_is_one_fact_and_a_second_tap_takes_it_back(self):
        self.tap(unloaded_by="driver")
        self.tap(unloaded_with="pallet-jack")
        self.tap(damaged_on_trailer="yes")
        self.tap(shippers_count="yes")
        self.tap(seal_condition="broken")
        row = self.fresh(self.delivery)
        assert (row.unloaded_by, row.unloaded_with) == ("driver", "pallet-jack")
        assert (row.damaged_on_trailer, row.shippers_count) == (True, True)
        assert row.seal_condition == "broken"

        self.tap(unloaded_by="", damaged_on_trailer="no")

        row = self.fresh(self.delivery)
        assert (row.unloaded_by, row.damaged_on_trailer) == ("", False)

    def test_what_no_chip_sends_changes_nothing(self):
        before = Event.objects.count()

        for fact in ({"unloaded_by": "crane"}, {"now": "signed_at"}, {"x": "y"}, {}):
            self.tap(**fact)

        assert Event.objects.count() == before

    def test_a_time_is_corrected_on_the_trucks_form(self):
        self.tap(now="started_at")
        row = self.fresh(self.delivery)
        self.client.post(
            reverse("edit_delivery", args=[row.pk]),
            {
                "version": str(row.version),
                "carrier": row.carrier_id,
                "arrived_at": "2026-03-10T10:30",
                "started_at": "2026-03-10T10:45",
            },
        )

        assert str(self.fresh(row).started_at) == "2026-03-10 15:45:00+00:00"

    def test_why_crates_are_not_inspected_is_one_tap(self):
        self.client.post(
            reverse("say_unseen", args=[self.handover.pk]),
            {"version": "1", "reason": "no-wait"},
        )

        assert self.fresh(self.handover).unseen_reason == "no-wait"


class TestUndo(TruckPage):
    def test_of_the_count(self):
        self.undo(self.count())

        assert self.fresh(self.handover).pieces_counted is None
        assert Event.objects.last().kind == "act.undone"

    def test_of_a_fact(self):
        answer = self.client.post(
            reverse("record_fact", args=[self.delivery.pk]),
            {"now": "started_at"},
            follow=True,
        )
        assert self.fresh(self.delivery).started_at

        self.undo(answer)

        assert self.fresh(self.delivery).started_at is None

    def test_of_the_reason_for_not_inspecting(self):
        answer = self.client.post(
            reverse("say_unseen", args=[self.handover.pk]),
            {"version": "1", "reason": "dark"},
            follow=True,
        )

        self.undo(answer)

        assert self.fresh(self.handover).unseen_reason == ""

    def test_of_an_exception_leaves_its_finding_without_a_claim(self):
        self.undo(self.look())

        assert self.fresh(self.crate).look == ""
        found = Finding.objects.get()
        assert (found.route, found.route_reason) == ("nowhere", "Undone")

    def test_of_a_refusal_gives_back_what_the_crate_was(self):
        self.crate.kind, self.crate.deposit_cents = "reusable", 15_000
        self.crate.state = "full"
        self.crate.save()

        self.undo(self.look(look="refused", refused_for="worthless"))

        row = self.fresh(self.crate)
        assert (row.look, row.refused_for, row.state) == ("", "", "full")
        assert row.deposit_cents == 15_000

    def test_of_no_visible_damage_after_all_gives_the_exception_back(self):
        self.look()
        answer = self.client.post(
            reverse("look", args=[self.crate.pk]),
            {"version": "2", "look": "clear", "reason": "Only dirt"},
            follow=True,
        )
        assert Finding.objects.get().route == "nowhere"

        self.undo(answer)

        assert self.fresh(self.crate).look == "exception"
        assert Finding.objects.get().route == ""

    def test_of_the_rest(self):
        self.photograph_load()
        self.count()
        self.undo(self.clear_rest())

        assert set(Crate.objects.values_list("look", flat=True)) == {""}

    def test_of_the_rest_leaves_a_crate_that_was_inspected_since(self):
        self.photograph_load()
        self.count()
        answer = self.clear_rest()
        self.look(version="2")

        self.undo(answer)

        assert self.fresh(self.crate).look == "exception"
        assert self.fresh(self.other).look == ""

    def test_twice_undoes_once(self):
        answer = self.count()
        self.undo(answer)
        events = Event.objects.count()

        again = self.undo(answer)

        self.assertContains(again, "undone already")
        assert Event.objects.count() == events

    def test_what_somebody_changed_since_stays(self):
        answer = self.count()
        self.count("1")

        self.assertContains(self.undo(answer), "Nothing was changed")
        assert self.fresh(self.handover).pieces_counted == 1

    def test_once_the_bill_is_closed_every_kind_is_refused(self):
        self.photograph_load()
        answers = [self.count(), self.look()]
        answers.append(self.clear_rest(1))
        answers.append(
            self.client.post(
                reverse("say_unseen", args=[self.handover.pk]),
                {"version": "2", "reason": "dark"},
                follow=True,
            )
        )
        self.close()
        events = Event.objects.count()

        for answer in answers:
            self.assertContains(self.undo(answer), "Nothing was changed")

        assert Event.objects.count() == events

    def test_once_the_truck_is_closed_a_fact_stays(self):
        answer = self.client.post(
            reverse("record_fact", args=[self.delivery.pk]),
            {"unloaded_by": "driver"},
            follow=True,
        )
        Delivery.objects.filter(pk=self.delivery.pk).update(
            how_signed="signed", signed_at=timezone.now(), signed_by=self.who.rosa
        )

        self.assertContains(self.undo(answer), "Nothing was changed")
        assert self.fresh(self.delivery).unloaded_by == "driver"

    def test_a_technician_undoes_an_inspection_and_no_count(self):
        count, look = self.count(), self.look()
        (of_count,) = [m.extra_tags for m in count.context["messages"]]
        (of_look,) = [m.extra_tags for m in look.context["messages"]]
        self.client.force_login(self.who.tomas)

        assert self.client.post(of_count).status_code == 403
        assert self.client.post(of_look).status_code == 302

    def test_an_event_that_no_message_offers_is_not_found(self):
        self.client.post(
            reverse("edit_crate", args=[self.crate.pk]),
            {"version": "1", "mark": "HT-9", "kind": "one-way"},
        )
        event = Event.objects.get(kind="crate.changed")

        assert self.client.post(reverse("undo", args=[event.pk])).status_code == 404


class TestTheDock(TruckPage):
    def test_a_truck_says_in_words_what_its_trailer_shows(self):
        self.look()

        page = self.client.get(reverse("dock"))

        self.assertContains(page, "1 to inspect")
        self.assertContains(page, "1 exception")
        self.assertContains(page, '<i class="exception"></i><i></i>')

    def test_a_refused_crate_that_was_asked_about_waits_for_its_disposition(self):
        make_inspection(crate=self.crate, stage="tailgate")
        self.crate.look, self.crate.refused_for = "refused", "worthless"
        self.crate.save()
        self.assertNotContains(self.client.get(reverse("dock")), "Where did")
        self.close()

        page = self.client.get(reverse("dock"))
        self.assertContains(page, "Disposition of refused crate 1")
        self.assertNotContains(page, "Where did")
        make_notice(
            self.shipment,
            kind="disposition",
            delivery=self.delivery,
            written_at=self.delivery.arrived_at,
            sent_on=self.delivery.arrived_on,
            sent_how="email",
        )

        page = self.client.get(reverse("dock"))

        self.assertContains(page, "Where did refused crate 1 go?")
        self.crate.disposition = "return"
        self.crate.save()
        self.assertNotContains(self.client.get(reverse("dock")), "Where did")


class TestLoggingATruck(TruckPage):
    GOOD = {
        "arrived_at": "2026-03-10T10:30",
        "pro_number": "410-1",
        "pieces_billed": "6",
    }

    def log(self, **over):
        carrier = {"carrier": self.delivery.carrier_id}
        return self.client.post(reverse("log_delivery"), carrier | self.GOOD | over)

    def test_truck_bill_and_crates_are_one_save(self):
        answer = self.log()

        handover = Handover.objects.latest("pk")
        assert answer.url == reverse("tailgate", args=[handover.delivery_id])
        assert handover.pieces_counted is None
        assert handover.shipment.pieces_billed == 6
        assert handover.shipment.crates.count() == 6

    def test_a_bill_in_skids_says_how_many_crates(self):
        self.log(piece_unit="skid", pieces_billed="3", crates="5", handling_billed="")

        bill = Handover.objects.latest("pk").shipment
        assert (bill.piece_unit, bill.crates.count()) == ("skid", 5)

    def test_without_a_number_the_bill_comes_next(self):
        answer = self.log(pro_number="", pieces_billed="")

        truck = Delivery.objects.latest("pk")
        assert answer.url == reverse("add_bill", args=[truck.pk])

    def test_pieces_without_a_number_are_asked_about(self):
        before = Delivery.objects.count()

        answer = self.log(pro_number="")

        self.assertContains(answer, "Enter the PRO number", status_code=422)
        assert Delivery.objects.count() == before

    def test_a_bill_that_cannot_be_added_leaves_no_truck(self):
        make_shipment(
            carrier=self.delivery.carrier,
            location=self.who.hillcrest,
            pro_number="410-1",
            supplier=make_supplier(),
        )
        before = Delivery.objects.count()

        answer = self.log()

        self.assertContains(answer, "another location", status_code=422)
        assert Delivery.objects.count() == before

    def test_now_is_picked_from_the_phones_own_clock(self):
        page = self.client.get(reverse("log_delivery"))

        self.assertContains(page, 'type="datetime-local"')


class TestTheSameNumberOfQueries(TruckPage):
    def queries(self, url):
        self.client.get(url)
        with CaptureQueriesContext(connection) as seen:
            assert self.client.get(url).status_code == 200
        return len(seen)

    def grow(self):
        """Add twenty crates, each with an exception and two photos."""
        for _ in range(20):
            crate = make_crate(self.shipment, delivery=self.delivery, look="exception")
            look = make_inspection(crate=crate, stage="tailgate")
            make_finding(look, faces="top")
            for _ in range(2):
                make_evidence(
                    delivery=self.delivery, shipment=self.shipment, crate=crate
                )

    @pytest.mark.slow
    def test_twenty_crates_take_as_many_as_one(self):
        self.photograph_load()
        pages = [
            self.page,
            reverse("dock"),
            reverse("delivery", args=[self.delivery.pk]),
            reverse("look", args=[self.crate.pk]),
        ]
        make_evidence(delivery=self.delivery, shipment=self.shipment, crate=self.crate)
        look = make_inspection(crate=self.crate, stage="tailgate")
        make_finding(look, faces="top")
        few = [self.queries(page) for page in pages]

        self.grow()

        assert [self.queries(page) for page in pages] == few
