"""Inspecting crates and signing: which count, finding and deadline follows."""

from datetime import timedelta

import pytest

from claims.actions.receiving.looks import Look, look_at_crate
from claims.actions.receiving.papers import fill_papers
from claims.actions.receiving.receipts import (
    compare_image,
    note_receipt,
    record_disposition,
)
from claims.actions.receiving.rest import clear_rest
from claims.actions.receiving.signing import Signature, sign_receipt
from claims.models import Deadline, Finding, Inspection
from claims.queries.receiving.receipts import bills_at_tailgate
from claims.rules.receiving.receipt_words import Damage
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.receiving.crates import change_crate
from inventory.actions.receiving.deliveries import change_delivery
from inventory.actions.receiving.handovers import count_handover
from inventory.actions.receiving.listed_crates import list_crates
from inventory.actions.receiving.shipments import BillAtDock, add_bill
from inventory.actions.receiving.tailgate import ClosedBillError, ClosedTailgateError
from inventory.models import Event, Hold, Shipment
from tests.making import (
    ARRIVED,
    make_carrier,
    make_crate,
    make_delivery,
    make_evidence,
    make_handover,
    make_shipment,
    make_supplier,
    make_unit,
)
from tests.people import cast
from tests.prepared_once import PreparedOnce

pytestmark = pytest.mark.database

CLOSED = (ClosedTailgateError, ClosedBillError)
HOLE = Damage("punctured", "severe", ("side-1",), "fork hole 20 cm")
SIGNED = Signature("signed", "Lou Parr", "both", "driver would not wait")


class Tailgate(PreparedOnce):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.carrier = make_carrier()
        cls.prepare_class()

    def truck(self, **over):
        truck = make_delivery(carrier=self.carrier, **over)
        make_evidence(delivery=truck, kind="load")
        return truck

    def bill(self, delivery, pro="PRO1", **over):
        values = {
            "pro_number": pro,
            "pieces_billed": 4,
            "piece_unit": "crate",
            "pieces_counted": 4,
            "crates": 4,
        }
        return add_bill(
            person=self.who.rosa,
            at=ARRIVED,
            delivery=delivery,
            bill=BillAtDock(**{**values, **over}),
        )

    def look(self, crate, look, **over):
        return look_at_crate(
            person=self.who.rosa,
            at=ARRIVED,
            crate=crate,
            version=crate.version,
            look=look,
            **over,
        )

    def sign(self, delivery, signature=SIGNED, at=ARRIVED):
        delivery.refresh_from_db()
        return sign_receipt(
            person=self.who.rosa,
            at=at,
            delivery=delivery,
            version=delivery.version,
            signature=signature,
        )


class TestFiveOfSixRefused(Tailgate):
    def prepare_once(self):
        self.delivery = self.truck()
        handover = self.bill(self.delivery, pieces_billed=6, pieces_counted=6, crates=6)
        self.shipment = handover.shipment
        for crate in self.shipment.crates.all()[:5]:
            crate.kind = "reusable"
            crate.deposit_cents = 15_000
            crate.save()
            self.look(crate, Look("refused", HOLE, "worthless", "too dark to see"))
        clear_rest(person=self.who.rosa, at=ARRIVED, delivery=self.delivery, count=1)
        self.sign(self.delivery)

    def test_refused_crates_count_as_tendered_not_short(self):
        words = self.shipment.handovers.get().words_full

        assert (
            "crates: 6 billed, 6 tendered, 1 received, 5 refused. Count agrees."
            in words
        )
        assert words.count("REFUSED, practically worthless") == 5
        assert not Finding.objects.filter(damage_kind="short").exists()

    def test_refused_crates_owe_no_deposit(self):
        refused = self.shipment.crates.filter(look="refused")

        assert refused.count() == 5
        assert not refused.exclude(deposit_cents=None).exists()

    def test_a_deposit_on_a_refused_crate_is_refused(self):
        crate = self.shipment.crates.first()

        with pytest.raises(
            RefusedError, match=r"carries no deposit\. Nothing was saved\."
        ):
            change_crate(
                person=self.who.rosa,
                at=ARRIVED,
                crate=crate,
                version=crate.version,
                mark="",
                kind="reusable",
                deposit_cents=1,
            )

    def test_each_refused_crate_asks_for_what_becomes_of_it(self):
        crate = self.shipment.crates.first()
        record_disposition(
            person=self.who.rosa,
            at=ARRIVED,
            crate=crate,
            version=crate.version,
            disposition="return",
        )

        crate.refresh_from_db()
        assert crate.disposition == "return"
        assert Event.objects.last().kind == "crate.disposition"

    def test_a_kept_crate_has_no_disposition(self):
        kept = self.shipment.crates.get(look="clear")

        with pytest.raises(RefusedError, match="was not refused"):
            record_disposition(
                person=self.who.rosa,
                at=ARRIVED,
                crate=kept,
                version=kept.version,
                disposition="return",
            )

    def test_a_claim_clock_runs(self):
        duties = Deadline.objects.filter(superseded_at=None)

        assert "claim" in duties.values_list("duty", flat=True)


class TestTwoTrucksOnOneBill(Tailgate):
    def prepare_once(self):
        self.first = self.truck()
        handover = self.bill(
            self.first, pieces_counted=3, crates=3, rest_to_follow=True
        )
        self.shipment = handover.shipment
        self.second = self.truck(
            arrived_at=ARRIVED + timedelta(days=2),
            arrived_on=(ARRIVED + timedelta(days=2)).date(),
        )

    def test_a_part_delivery_makes_no_shortage(self):
        self.sign(self.first)

        words = self.shipment.handovers.get(delivery=self.first).words_full
        assert "4 billed, 3 tendered, 3 received, 1 to follow." in words
        assert not Finding.objects.exists()

    def test_the_second_truck_joins_the_bill_and_the_count_agrees(self):
        self.sign(self.first)
        self.bill(self.second, pieces_billed=None, pieces_counted=1, crates=1)
        self.sign(self.second)

        assert Shipment.objects.count() == 1
        assert list(self.shipment.crates.values_list("number", "delivery")) == [
            (1, self.first.pk),
            (2, self.first.pk),
            (3, self.first.pk),
            (4, self.second.pk),
        ]
        words = self.shipment.handovers.get(delivery=self.second).words_full
        assert "4 billed, 3 received earlier, 1 tendered, 1 received." in words
        assert not Finding.objects.exists()

    def test_each_truck_has_its_own_clock(self):
        self.sign(self.first)
        self.bill(self.second, pieces_billed=None, pieces_counted=1, crates=1)
        self.sign(self.second, at=ARRIVED + timedelta(days=2))

        clocks = Deadline.objects.filter(duty="concealed-notice", superseded_at=None)
        assert set(clocks.values_list("delivery", flat=True)) == {
            self.first.pk,
            self.second.pk,
        }

    def test_what_never_came_is_a_shortage_of_so_many_pieces(self):
        self.sign(self.first)
        self.bill(self.second, pieces_billed=None, pieces_counted=0, crates=0)
        self.sign(self.second)

        short = Finding.objects.get()
        assert (short.damage_kind, short.pieces, short.delivery) == (
            "short",
            1,
            self.second,
        )

    def test_a_later_truck_makes_a_shortage_good_and_the_finding_stays(self):
        handover = self.shipment.handovers.get()
        count_handover(
            person=self.who.rosa,
            at=ARRIVED,
            handover=handover,
            version=handover.version,
            pieces_counted=3,
            rest_to_follow=False,
        )
        self.sign(self.first)
        assert Finding.objects.get().pieces == 1

        self.bill(self.second, pieces_billed=None, pieces_counted=1, crates=1)
        self.sign(self.second)

        found = Finding.objects.get()
        assert (found.pieces, found.route) == (0, "nowhere")

    def test_another_number_of_billed_pieces_is_not_taken_silently(self):
        with pytest.raises(RefusedError, match="added before with 4 crates billed"):
            self.bill(self.second, pieces_billed=5)

    def test_the_same_bill_twice_on_one_truck_is_refused(self):
        with pytest.raises(RefusedError, match="already on this truck"):
            self.bill(self.first)

    def test_a_number_of_another_location_is_not_joined(self):
        make_shipment(
            location=self.who.hillcrest, carrier=self.carrier, pro_number="FAR-1"
        )

        with pytest.raises(RefusedError, match="at another location"):
            self.bill(self.second, "FAR-1")


class TestThreeBillsOnOneTruck(Tailgate):
    def prepare_once(self):
        self.delivery = self.truck()
        self.bill(self.delivery, "A1", pieces_billed=2, pieces_counted=2, crates=2)
        self.bill(self.delivery, "B2", pieces_billed=3, pieces_counted=2, crates=2)
        self.bill(
            self.delivery,
            "C3",
            pieces_billed=1,
            pieces_counted=2,
            piece_unit="skid",
            crates=5,
        )
        self.sign(self.delivery)

    def test_each_bill_has_its_own_words(self):
        words = {
            row.shipment.pro_number: row.words_full.splitlines()[0]
            for row in self.delivery.handovers.select_related("shipment")
        }

        assert words == {
            "A1": "PRO A1, crates: 2 billed, 2 tendered, 2 received. Count agrees.",
            "B2": "PRO B2, crates: 3 billed, 2 tendered, 2 received, 1 short.",
            "C3": "PRO C3, skids: 1 billed, 2 tendered, 2 received, 1 over, held for carrier.",
        }

    def test_only_the_short_one_has_a_finding(self):
        assert Finding.objects.get().shipment.pro_number == "B2"

    def test_every_bill_has_its_clocks(self):
        bills = Deadline.objects.filter(superseded_at=None).values_list("shipment")

        assert bills.distinct().count() == 3

    def test_one_event_signs_for_all_three(self):
        event = Event.objects.get(kind="receipt.signed")

        nouns = [row.noun for row in event.subjects.all()]
        assert nouns == ["delivery", "shipment", "shipment", "shipment"]


class TestLooks(Tailgate):
    def prepare_once(self):
        self.delivery = self.truck()
        self.shipment = self.bill(self.delivery, crates=2).shipment
        self.crate, self.other = self.shipment.crates.all()

    def test_an_exception_makes_a_finding_at_the_tailgate(self):
        photo = make_evidence(
            delivery=self.delivery, shipment=self.shipment, crate=self.crate
        )
        self.look(self.crate, Look("exception", HOLE), photos=[photo])

        found = Finding.objects.get()
        self.crate.refresh_from_db()
        assert self.crate.look == "exception"
        assert (found.inspection.stage, found.faces, found.could_be_seen) == (
            "tailgate",
            "side-1",
            True,
        )
        assert found.photos.get() == photo

    def test_a_clear_crate_has_a_look_and_no_finding(self):
        self.look(self.crate, Look("clear"))

        assert Inspection.objects.get().crate_condition == "sound"
        assert not Finding.objects.exists()

    def test_clear_after_all_needs_a_reason_and_keeps_the_finding(self):
        self.look(self.crate, Look("exception", HOLE))
        self.crate.refresh_from_db()

        with pytest.raises(RefusedError, match="Enter why it has no visible damage"):
            self.look(self.crate, Look("clear"))
        self.look(self.crate, Look("clear", reason="Dirt, wiped off"))

        found = Finding.objects.get()
        assert (found.route, found.route_reason) == ("nowhere", "Dirt, wiped off")
        words = bills_at_tailgate(self.delivery)[0].words
        assert "punctured" not in words.full

    def test_a_photo_of_another_crate_is_not_taken(self):
        photo = make_evidence(shipment=self.shipment, crate=self.other)

        with pytest.raises(RefusedError, match="another crate"):
            self.look(self.crate, Look("exception", HOLE), photos=[photo])

    def test_a_refusal_without_ground_changes_nothing(self):
        tripped = Damage("indicator", "slight", ("side-2",))

        with pytest.raises(RefusedError, match="no reason to refuse"):
            self.look(self.crate, Look("refused", tripped, "worthless"))

        self.crate.refresh_from_db()
        assert self.crate.look == ""
        assert not Finding.objects.exists()

    def test_a_standing_order_is_a_ground(self):
        self.shipment.supplier = make_supplier(standing_order="refuse")
        self.shipment.save()

        self.look(self.crate, Look("refused", HOLE, "standing-order"))

        self.crate.refresh_from_db()
        assert self.crate.refused_for == "standing-order"

    def test_a_stale_look_is_told(self):
        self.look(self.crate, Look("clear"))

        with pytest.raises(StaleRowError):
            self.look(self.crate, Look("clear"))

    def test_the_rest_are_only_those_that_were_seen(self):
        with pytest.raises(RefusedError, match="2 crates left to inspect now, not 3"):
            clear_rest(
                person=self.who.rosa, at=ARRIVED, delivery=self.delivery, count=3
            )

    def test_the_rest_are_clear_in_one_act(self):
        clear_rest(person=self.who.rosa, at=ARRIVED, delivery=self.delivery, count=2)

        assert Event.objects.last().data["count"] == 2
        assert set(self.shipment.crates.values_list("look", flat=True)) == {"clear"}


class TestAfterTheSignature(Tailgate):
    def prepare_once(self):
        self.delivery = self.truck()
        self.handover = self.bill(self.delivery, crates=1)
        self.shipment = self.handover.shipment
        self.crate = self.shipment.crates.get()
        self.unit = make_unit(self.shipment, crate=self.crate)
        self.look(self.crate, Look("exception", HOLE))
        self.crate.refresh_from_db()
        self.sign(self.delivery)

    def test_every_tailgate_change_is_refused_with_a_sentence(self):
        rosa = {"person": self.who.rosa, "at": ARRIVED}
        self.delivery.refresh_from_db()
        self.handover.refresh_from_db()
        acts = [
            lambda: self.look(self.crate, Look("clear", reason="x")),
            lambda: clear_rest(**rosa, delivery=self.delivery, count=1),
            lambda: self.bill(self.delivery, "LATE"),
            lambda: count_handover(
                **rosa,
                handover=self.handover,
                version=self.handover.version,
                pieces_counted=9,
                rest_to_follow=False,
            ),
            lambda: change_delivery(
                **rosa,
                delivery=self.delivery,
                version=self.delivery.version,
                carrier=self.carrier,
                arrived_at=ARRIVED,
                seal_number="X",
            ),
            lambda: self.sign(self.delivery),
        ]
        before = Event.objects.count()
        for act in acts:
            with pytest.raises(CLOSED, match="Add a note to the receipt"):
                act()

        assert Event.objects.count() == before

    def test_machines_in_a_damaged_crate_wait(self):
        assert Hold.objects.get().unit == self.unit

    def test_crates_listed_later_stay_unseen(self):
        (late,) = list_crates(
            person=self.who.rosa,
            at=ARRIVED,
            shipment=self.shipment,
            delivery=self.delivery,
            count=1,
            kind="one-way",
        )

        assert late.look == ""
        assert Event.objects.last().data["after_signature"] is True

    def test_a_note_lies_beside_the_receipt(self):
        note_receipt(
            person=self.who.rosa, at=ARRIVED, delivery=self.delivery, text="Also wet."
        )

        assert self.delivery.notes.get().text == "Also wet."

    def test_pieces_billed_filled_in_later_make_the_shortage_known(self):
        row = self.shipment
        row.refresh_from_db()
        fill_papers(
            person=self.who.rosa,
            at=ARRIVED,
            shipment=row,
            version=row.version,
            pieces_billed=6,
        )

        assert Finding.objects.get(damage_kind="short").pieces == 2

    def test_the_image_is_compared_only_with_an_image(self):
        rosa = {"person": self.who.rosa, "at": ARRIVED}
        row = self.delivery.handovers.get()
        with pytest.raises(RefusedError, match="No POD is saved"):
            compare_image(
                **rosa, handover=row, version=row.version, result="words-missing"
            )
        image = make_evidence(shipment=self.shipment, kind="carrier-image")
        compare_image(
            **rosa,
            handover=row,
            version=row.version,
            result="words-missing",
            image=image,
        )

        row.refresh_from_db()
        assert row.carrier_image == "words-missing"


class TestSigning(Tailgate):
    def test_a_truck_without_a_bill_is_not_signed_for(self):
        with pytest.raises(RefusedError, match="This truck has no freight bill"):
            self.sign(self.truck())

    def test_a_note_before_the_signature_is_refused(self):
        with pytest.raises(
            RefusedError,
            match="No receipt of this truck is closed, so it cannot have a note",
        ):
            note_receipt(
                person=self.who.rosa, at=ARRIVED, delivery=self.truck(), text="x"
            )

    def test_no_look_and_no_count_still_sign_and_the_words_say_so(self):
        delivery = self.truck()
        self.bill(delivery, pieces_counted=None, crates=2)

        self.sign(delivery, Signature("dropped", "", "none", "driver would not wait"))

        words = delivery.handovers.get().words_full
        assert "4 billed, not counted" in words
        assert "Crates 1 and 2 not inspected." in words
        assert words.endswith("No driver present to count, inspect or sign.")

    def test_a_bare_bill_brings_no_hold(self):
        shipment = make_shipment(carrier=self.carrier)
        delivery = self.truck()
        make_handover(delivery, shipment)
        make_crate(shipment, delivery=delivery, look="clear")

        self.sign(delivery)

        assert not Hold.objects.exists()
