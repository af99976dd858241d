"""A truck for practice: what it may do, and that nothing of it is left but its history."""

import pytest
from django.test import TestCase

from claims.actions.claim.making import Pick, make_claim
from claims.actions.letters.notices import write_notice
from claims.actions.receiving.looks import Look, look_at_crate
from claims.actions.receiving.signing import Signature, sign_bills
from claims.actions.receiving.test_trucks import end_test, start_test
from claims.actions.receiving.withdrawals import withdraw_delivery
from claims.models import Claim, Deadline, Finding, Notice
from claims.queries.core.test_trucks import is_test, practice_at
from claims.queries.core.unclaimed import payable
from claims.queries.receiving.due import bills_to_mail
from claims.rules.receiving.receipt_words import Damage
from inventory.actions.core.versions import RefusedError
from inventory.actions.receiving.handovers import count_handover
from inventory.models import (
    Crate,
    Delivery,
    Event,
    Handover,
    Location,
    PackagingHold,
    Shipment,
)
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.verifying import chain_faults_now

pytestmark = pytest.mark.database

HOLE = Damage("punctured", "severe", ("side-1",), "fork hole 20 cm")
HANDHELD = Signature("handheld", "Lou Parr", "both", "no camera at hand")


class Practice:
    """A test truck that Rosa started at Riverside."""

    def __init__(self):
        self.who = cast()
        self.carrier = making.make_carrier()
        self.truck = self.start()
        self.handover = self.truck.handovers.get()
        self.bill = self.handover.shipment
        self.first, self.second = self.bill.crates.order_by("number")

    def start(self):
        return start_test(person=self.who.rosa, at=ARRIVED, location=self.who.riverside)

    def look(self, crate, look):
        look_at_crate(
            person=self.who.rosa,
            at=ARRIVED,
            crate=crate,
            version=crate.version,
            look=look,
        )

    def sign(self, counted=1):
        """Sign with one crate damaged, one missing: everything that could hang on it."""
        count_handover(
            person=self.who.rosa,
            at=ARRIVED,
            handover=self.handover,
            version=self.handover.version,
            pieces_counted=counted,
            rest_to_follow=False,
        )
        self.look(self.first, Look("exception", HOLE, no_photo_reason="too dark"))
        self.truck.refresh_from_db()
        sign_bills(
            person=self.who.rosa,
            at=ARRIVED,
            delivery=self.truck,
            version=self.truck.version,
            answers={self.handover.pk: HANDHELD},
        )
        self.truck.refresh_from_db()

    def end(self):
        return end_test(person=self.who.rosa, at=ARRIVED, delivery=self.truck)


@pytest.fixture
def practice(db):
    return Practice()


def running():
    return Deadline.objects.filter(superseded_at=None)


def test_it_is_an_ordinary_truck_that_says_what_it_is(practice):
    assert is_test(practice.truck.pk)
    assert practice.bill.pro_number == "TEST-RIV"
    assert practice.bill.crates.count() == 2
    assert not is_test(making.make_delivery().pk)


def test_signed_and_taken_back_it_counts_nowhere_and_its_history_stays(practice):
    practice.sign()
    assert Finding.objects.exclude(route="nowhere").count() == 2
    assert running().exists()
    before = Event.objects.count()

    gone = practice.end()

    assert len(gone.crates) == 2
    for rows in (Delivery, Handover, Shipment, Crate):
        assert not rows.objects.exists(), rows
        assert rows.everything.exists()
    assert not running().exists()
    assert not payable(Finding.objects.all()).exists()
    assert not bills_to_mail().exists()
    assert Event.objects.count() > before
    assert Event.objects.filter(kind="receipt.ended").exists()
    assert chain_faults_now() == []


def test_nothing_of_it_is_held_mailed_noticed_or_claimed(practice):
    practice.sign()

    assert not PackagingHold.objects.exists()
    assert not bills_to_mail().exists()
    with pytest.raises(RefusedError, match="This is a test truck"):
        write_notice(
            shipment=practice.bill,
            delivery=practice.truck,
            kind="concealed",
            addressee="Carrier",
            text="Damage",
            person=practice.who.mina,
            at=ARRIVED,
        )
    with pytest.raises(RefusedError, match="This is a test truck"):
        make_claim(
            shipment=practice.bill,
            picks=[Pick(Finding.objects.all()[0], "repair")],
            claimant="us",
            basis="destination",
            person=practice.who.mina,
            at=ARRIVED,
            today=making.day_of(ARRIVED),
        )
    assert not Notice.objects.exists()
    assert not Claim.objects.exists()


def test_there_is_one_at_a_dock_at_a_time_and_another_after_it(practice):
    with pytest.raises(RefusedError, match="at this dock already"):
        practice.start()

    practice.end()

    assert practice.start().pk != practice.truck.pk


def test_a_real_truck_is_not_ended_by_it(practice):
    signed = making.make_signed_delivery(signed_by=practice.who.rosa)

    with pytest.raises(RefusedError, match="not a test truck"):
        end_test(person=practice.who.rosa, at=ARRIVED, delivery=signed)
    with pytest.raises(RefusedError, match="record is closed"):
        withdraw_delivery(
            person=practice.who.rosa,
            at=ARRIVED,
            delivery=signed,
            version=signed.version,
            reason="Not a test.",
        )


def test_the_dock_offers_one_until_a_receipt_was_signed(practice):
    riverside = Location.objects.filter(pk=practice.who.riverside.pk)
    hillcrest = Location.objects.filter(pk=practice.who.hillcrest.pk)
    today = making.day_of(ARRIVED)

    here = practice_at(riverside, today)
    assert (here.is_offered, here.to_end) == (False, [])
    assert practice_at(hillcrest, today).is_offered

    practice.sign()
    assert practice_at(riverside, today).to_end == [practice.truck]

    practice.end()
    here = practice_at(riverside, today)
    assert (here.is_offered, here.to_end) == (False, [])


class TestWithoutACarrier(TestCase):
    def test_it_says_who_adds_one(self):
        who = cast()

        with pytest.raises(RefusedError, match="No carrier is entered yet"):
            start_test(person=who.rosa, at=ARRIVED, location=who.riverside)
