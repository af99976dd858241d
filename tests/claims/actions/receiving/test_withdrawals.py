"""Taking back what was recorded by mistake: what goes, what stays, what forbids it."""

from datetime import timedelta

import pytest
from django.test import TestCase

from claims.actions.receiving.looks import Look, look_at_crate
from claims.actions.receiving.withdrawals import (
    withdraw_bill,
    withdraw_crate,
    withdraw_delivery,
)
from claims.models import Finding
from claims.queries.claim.proof import evidence_of
from claims.rules.receiving.receipt_words import Damage
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.receiving.listed_crates import list_crates
from inventory.actions.receiving.shipments import BillAtDock, add_bill
from inventory.actions.receiving.units import list_unit
from inventory.models import Crate, Delivery, Event, Handover, Shipment, Unit
from inventory.queries.receiving.dock import delivery_rows
from tests.ledger import charge, make_book
from tests.making import (
    ARRIVED,
    make_carrier,
    make_claim,
    make_crate_type,
    make_delivery,
    make_evidence,
    make_inspection,
    make_notice,
    make_supplier,
)
from tests.people import cast
from tests.verifying import behind_the_back, report_now

pytestmark = pytest.mark.database

REASON = "Logged at the wrong dock."


def faults_of(*nouns):
    """Return what a verification finds of these tables."""
    faults = report_now(with_originals=False).first
    return [fault for fault in faults if fault.split()[0] in nouns]


class Withdrawals(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.carrier = make_carrier()

    def truck(self, **over):
        return make_delivery(carrier=self.carrier, **over)

    def bill(self, delivery, pro="PRO1", **over):
        values = {
            "pro_number": pro,
            "pieces_billed": 4,
            "piece_unit": "crate",
            "pieces_counted": 2,
            "crates": 2,
            "supplier": make_supplier(),
        }
        return add_bill(
            person=self.who.rosa,
            at=ARRIVED,
            delivery=delivery,
            bill=BillAtDock(**{**values, **over}),
        )

    def back(self, act, **row):
        (kept,) = row.values()
        kept.refresh_from_db()
        return act(
            person=self.who.rosa,
            at=ARRIVED + timedelta(hours=1),
            version=kept.version,
            reason=REASON,
            **row,
        )

    def refuse(self, act, sentence, **row):
        with pytest.raises(RefusedError, match=sentence):
            self.back(act, **row)
        (kept,) = row.values()
        kept.refresh_from_db()
        assert not kept.is_withdrawn
        assert not Event.objects.filter(kind__endswith=".withdrawn").exists()

    def test_a_truck_goes_with_its_bills_crates_and_machines(self):
        truck = self.truck()
        handover = self.bill(truck)
        unit = list_unit(
            person=self.who.rosa, at=ARRIVED, shipment=handover.shipment, model="TX"
        )

        self.back(withdraw_delivery, delivery=truck)

        for model in (Delivery, Handover, Shipment, Crate, Unit):
            assert model.objects.count() == 0
        assert Crate.everything.count() == 2
        gone = Unit.everything.get(pk=unit.pk)
        assert (gone.withdrawn_by, gone.withdrawn_reason) == (self.who.rosa, REASON)
        event = Event.objects.get(kind="delivery.withdrawn")
        assert event.data == {
            "carrier": self.carrier.name,
            "reason": REASON,
            "bills": 1,
            "crates": 2,
            "machines": 1,
        }

    def test_the_chain_still_holds_an_image_of_every_row_taken_back(self):
        truck = self.truck()
        self.bill(truck)
        self.back(withdraw_delivery, delivery=truck)
        assert not faults_of("crate", "handover", "shipment")

        behind_the_back("UPDATE inventory_crate SET mark = 'CHANGED'")

        assert len(faults_of("crate", "handover", "shipment")) == 2

    def test_a_bill_on_two_trucks_stays_with_the_other_truck(self):
        first, second = self.truck(), self.truck(arrived_at=ARRIVED + timedelta(days=1))
        kept = self.bill(first)
        self.bill(second)

        self.back(withdraw_delivery, delivery=second)

        assert list(Shipment.objects.all()) == [kept.shipment]
        assert list(Handover.objects.all()) == [kept]
        assert [crate.delivery_id for crate in Crate.objects.all()] == [first.pk] * 2

    def test_a_bill_taken_off_a_truck_is_counted_nowhere_on_it(self):
        truck, other = self.truck(), self.truck(arrived_at=ARRIVED + timedelta(days=1))
        handover = self.bill(truck)
        self.bill(other)
        photo = make_evidence(delivery=truck, recorded_by=self.who.rosa)

        self.back(withdraw_bill, handover=handover)

        row = delivery_rows(self.who.rosa).get(pk=truck.pk)
        assert (row.bill_count, row.crate_count, row.unseen_count) == (0, 0, 0)
        assert list(Delivery.bringing(handover.shipment)) == [other]
        assert photo not in evidence_of(handover.shipment)
        assert Event.objects.filter(kind="shipment.taken-off").count() == 1

    def test_a_bill_on_one_truck_is_taken_back_itself_and_its_number_is_free(self):
        truck = self.truck()
        gone = self.bill(truck)
        self.back(withdraw_bill, handover=gone)

        again = self.bill(truck)

        assert again.shipment_id != gone.shipment_id
        assert Event.objects.filter(kind="shipment.withdrawn").count() == 1

    def test_a_crate_too_many_goes_and_its_number_is_given_again(self):
        truck = self.truck()
        handover = self.bill(truck)
        last = Crate.objects.get(number=2)
        photo = make_evidence(delivery=truck, shipment=handover.shipment, crate=last)

        self.back(withdraw_crate, crate=last)
        (new,) = list_crates(
            person=self.who.rosa,
            at=ARRIVED,
            shipment=handover.shipment,
            delivery=truck,
            count=1,
            kind="one-way",
        )

        assert (new.number, new.pk == last.pk) == (2, False)
        assert delivery_rows(self.who.rosa).get().crate_count == 2
        assert photo not in evidence_of(handover.shipment)

    def test_a_signed_receipt_forbids_it_and_names_the_note(self):
        for closing in ("truck", "bill"):
            truck = self.truck()
            handover = self.bill(truck, pro=f"PRO-{closing}")
            row = truck if closing == "truck" else handover
            type(row).objects.filter(pk=row.pk).update(
                how_signed="signed", signed_at=ARRIVED, signed_by=self.who.rosa
            )
            crate = handover.shipment.crates.first()

            for act, about in (
                (withdraw_delivery, {"delivery": truck}),
                (withdraw_bill, {"handover": handover}),
                (withdraw_crate, {"crate": crate}),
            ):
                self.refuse(act, "Add a note to the receipt instead", **about)

    def test_a_finding_forbids_it_until_it_is_undone(self):
        truck = self.truck()
        crate = self.bill(truck).shipment.crates.first()
        damage = Damage("punctured", "severe", ("side-1",))
        self.look(crate, Look("exception", damage, no_photo_reason="no camera"))
        self.refuse(withdraw_delivery, "Finding 1.* record no visible", delivery=truck)
        self.refuse(withdraw_crate, "Finding 1", crate=crate)

        self.look(crate, Look("clear", reason="It was the crate of another truck."))
        self.back(withdraw_delivery, delivery=truck)

        assert Finding.objects.get().route == "nowhere"

    def look(self, crate, look):
        crate.refresh_from_db()
        look_at_crate(
            person=self.who.rosa,
            at=ARRIVED,
            crate=crate,
            version=crate.version,
            look=look,
        )

    def test_a_claim_a_letter_and_money_forbid_it(self):
        for number, (make, sentence) in enumerate(
            (
                (lambda bill, _: make_claim(bill), "Claim .* is made"),
                (lambda bill, _: make_notice(bill), "A letter about it is on file"),
                (self.charge, "Accounting withdraws it"),
                (
                    lambda bill, crate: Crate.objects.filter(pk=crate.pk).update(
                        opened_at=ARRIVED, opened_on=ARRIVED.date()
                    ),
                    "was opened already",
                ),
            )
        ):
            handover = self.bill(
                self.truck(), pro=f"PRO{number}", crate_kind="reusable"
            )
            make(handover.shipment, handover.shipment.crates.first())

            self.refuse(withdraw_bill, sentence, handover=handover)

    def charge(self, bill, crate):
        book = make_book(self.who)
        book.supplier = bill.supplier
        charge(book, crates=[crate], crate_type=make_crate_type(bill.supplier))

    def test_an_inspected_machine_forbids_it(self):
        handover = self.bill(self.truck())
        unit = list_unit(
            person=self.who.rosa, at=ARRIVED, shipment=handover.shipment, model="TX"
        )
        make_inspection(unit=unit)

        self.refuse(withdraw_bill, "Machine TX was inspected", handover=handover)

    def test_a_crate_with_a_machine_stays_until_the_machine_is_moved(self):
        handover = self.bill(self.truck())
        crate = handover.shipment.crates.first()
        list_unit(
            person=self.who.rosa,
            at=ARRIVED,
            shipment=handover.shipment,
            model="TX",
            crate=crate,
        )

        self.refuse(withdraw_crate, "Machine TX is listed in it", crate=crate)

    def test_a_version_that_changed_is_refused_with_nothing_taken_back(self):
        truck = self.truck()
        self.bill(truck)

        with pytest.raises(StaleRowError):
            withdraw_delivery(
                person=self.who.rosa,
                at=ARRIVED,
                delivery=truck,
                version=truck.version + 1,
                reason=REASON,
            )

        assert Crate.objects.count() == 2

    def test_two_sendings_take_it_back_once(self):
        truck = self.truck()
        stale = Delivery.objects.get(pk=truck.pk)
        self.back(withdraw_delivery, delivery=truck)

        with pytest.raises(Delivery.DoesNotExist):
            withdraw_delivery(
                person=self.who.rosa,
                at=ARRIVED,
                delivery=stale,
                version=stale.version,
                reason=REASON,
            )

        assert Event.objects.filter(kind="delivery.withdrawn").count() == 1
