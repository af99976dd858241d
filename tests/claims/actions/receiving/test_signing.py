"""Signing bill by bill: each receipt ends in its own way, and what follows from it."""

from datetime import timedelta

import pytest

from claims.actions.bench.inspections import Subject, why_not_inspect
from claims.actions.bench.opening import why_not_open
from claims.actions.receiving.looks import Look, look_at_crate
from claims.actions.receiving.receipts import compare_image, note_receipt
from claims.actions.receiving.signing import Signature, sign_bills, sign_receipt
from claims.actions.receiving.withdrawals import withdraw_bill
from claims.models import Deadline, Finding
from claims.queries.bench.unopened import unopened_crates
from claims.queries.packet.findings import receipt_entry
from claims.queries.receiving.receipts import bills_at_tailgate
from claims.rules.receiving.receipt_words import Damage
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.receiving.shipments import BillAtDock, add_bill
from inventory.actions.receiving.tailgate import ClosedBillError, ClosedTailgateError
from inventory.models import Event, Hold
from inventory.queries.receiving.dock import images_to_ask_for
from inventory.rules.core.vocabulary import BILL_ENDINGS, HOW_SIGNED
from tests import making
from tests.making import ARRIVED
from tests.people import cast

pytestmark = pytest.mark.database

HOLE = Damage("punctured", "severe", ("side-1",), "fork hole 20 cm")
SIGNED = Signature("signed", "Lou Parr", "both", "no camera at hand")
REFUSED = Signature("refused", witness_name="Ida Blom", no_photo_reason="no camera")


@pytest.fixture
def dock(db):
    return Dock()


class Dock:
    """A truck with three bills: two crates each, one of them damaged."""

    def __init__(self):
        self.who = cast()
        self.truck = making.make_delivery(location=self.who.riverside)
        self.bills = [self.bill(pro) for pro in ("A1", "B2", "C3")]
        self.crate = self.bills[1].shipment.crates.get(number=1)
        look_at_crate(
            person=self.who.rosa,
            at=ARRIVED,
            crate=self.crate,
            version=self.crate.version,
            look=Look("exception", HOLE, no_photo_reason="too dark to see"),
        )

    def bill(self, pro, **over):
        values = {
            "pro_number": pro,
            "pieces_billed": 2,
            "piece_unit": "crate",
            "pieces_counted": 2,
            "crates": 2,
        }
        return add_bill(
            person=self.who.rosa,
            at=ARRIVED,
            delivery=self.truck,
            bill=BillAtDock(**{**values, **over}),
        )

    def sign(self, *answers, at=ARRIVED, version=None):
        """Sign bills by place: (0, SIGNED), (1, REFUSED)."""
        self.truck.refresh_from_db()
        done = sign_bills(
            person=self.who.rosa,
            at=at,
            delivery=self.truck,
            version=self.truck.version if version is None else version,
            answers={self.bills[place].pk: answer for place, answer in answers},
        )
        self.fresh()
        return done

    def fresh(self):
        self.truck.refresh_from_db()
        for row in self.bills:
            row.refresh_from_db()


def duties(bill):
    rows = Deadline.objects.filter(shipment=bill.shipment_id, superseded_at=None)
    return set(rows.values_list("duty", flat=True))


def test_two_bills_are_signed_and_one_is_refused(dock):
    dock.sign((0, SIGNED), (1, REFUSED), (2, SIGNED))

    assert [row.how_signed for row in dock.bills] == ["signed", "refused", "signed"]
    assert [row.words_stand_on for row in dock.bills] == ["both", "ours", "both"]
    assert dock.bills[1].witness_name == "Ida Blom"
    assert dock.truck.how_signed == "by-bill"
    assert (dock.truck.driver_signed_name, dock.truck.signed_by) == ("", dock.who.rosa)
    told = Event.objects.filter(kind__startswith="receipt.").order_by("sequence")
    assert [(event.kind, event.data["how"]) for event in told] == [
        (
            "receipt.signed",
            "signed with our exceptions, by Lou Parr (PRO A1 and PRO C3)",
        ),
        ("receipt.ended", "driver refused to sign, witness Ida Blom (PRO B2)"),
    ]
    assert dock.bills[1].words_full.splitlines()[-1] == (
        "Driver refused to sign. Witness: Ida Blom."
    )
    assert "refused to sign" not in dock.bills[0].words_full


def test_what_they_have_in_common_is_said_of_the_truck(dock):
    dock.sign(*((place, SIGNED) for place in range(3)))

    assert (dock.truck.how_signed, dock.truck.driver_signed_name) == (
        "signed",
        "Lou Parr",
    )


def test_the_truck_stays_open_until_its_last_bill_is_closed(dock):
    dock.sign((1, SIGNED))

    assert not dock.truck.is_signed
    assert [row.is_closed for row in dock.bills] == [False, True, False]
    dock.sign((0, SIGNED))
    assert not dock.truck.is_signed
    later = ARRIVED + timedelta(hours=1)
    dock.sign((2, Signature("dropped", no_photo_reason="no camera at hand")), at=later)
    assert (dock.truck.how_signed, dock.truck.signed_at) == ("by-bill", later)


def test_the_last_open_bill_taken_back_closes_the_truck(dock):
    dock.sign((0, SIGNED), (1, REFUSED))
    assert not dock.truck.is_signed

    withdraw_bill(
        person=dock.who.mina,
        at=ARRIVED,
        handover=dock.bills[2],
        version=dock.bills[2].version,
        reason="Typed twice.",
    )

    dock.truck.refresh_from_db()
    assert (dock.truck.is_signed, dock.truck.how_signed) == (True, "by-bill")


def test_the_only_bill_taken_back_leaves_the_truck_open(dock):
    truck = making.make_delivery(location=dock.who.riverside)
    bill = making.make_handover(truck)

    withdraw_bill(
        person=dock.who.mina,
        at=ARRIVED,
        handover=bill,
        version=bill.version,
        reason="Typed twice.",
    )

    truck.refresh_from_db()
    assert not truck.is_signed


def test_a_closed_bill_has_its_deadlines_holds_and_bench_before_the_truck(dock):
    making.make_unit(dock.bills[1].shipment, crate=dock.crate)
    dock.sign((1, SIGNED))

    assert "claim" in duties(dock.bills[1])
    assert not duties(dock.bills[0])
    assert Hold.objects.get().unit.crate == dock.crate
    dock.crate.refresh_from_db()
    waiting = dock.bills[0].shipment.crates.first()
    assert not why_not_open(dock.crate)
    assert "until the receipt is signed" in why_not_open(waiting)
    listed = unopened_crates(dock.who.rosa, ARRIVED.date())
    assert {row.pro_number for row in listed} == {"B2"}
    assert "receipt is not signed" in why_not_inspect(
        Subject(dock.bills[0].shipment), "count"
    )
    assert not why_not_inspect(Subject(dock.bills[1].shipment), "count")


def test_a_shortage_is_found_with_its_own_bill(dock):
    dock.bills.append(dock.bill("D4", pieces_billed=3))
    dock.sign((0, SIGNED))
    assert not Finding.objects.filter(damage_kind="short").exists()

    dock.sign((3, SIGNED))

    assert Finding.objects.get(damage_kind="short").pieces == 1


def test_the_words_are_frozen_in_every_length_with_what_they_lack(dock):
    dock.sign((1, SIGNED))

    row = dock.bills[1]
    assert set(row.words_cut) == {"160", "80", "60", "40"}
    assert row.words_short == row.words_cut["160"]["text"]
    assert row.words_cut["40"]["left_out"]


@pytest.mark.parametrize("how", BILL_ENDINGS)
def test_each_ending_is_itself_on_the_page_and_in_the_claim_file(dock, how):
    dock.sign((1, Signature(how, "Lou", "both", "dark", "Ida Blom")))

    entry = receipt_entry(dock.bills[1], ())
    assert entry.how_signed == f"{HOW_SIGNED[how]}. Witness: Ida Blom"
    assert dock.bills[1].ending_words == HOW_SIGNED[how]
    assert entry.words == dock.bills[1].words_full
    copies = {
        "signed": "Both copies",
        "handheld": "Neither copy",
        "bare": "Neither copy",
    }
    assert entry.written_on == copies.get(how, "Our copy only")


def test_only_exceptions_on_the_carriers_copy_meet_the_notice(dock):
    dock.sign((0, Signature("handheld", "Lou", "both", "dark")), (1, SIGNED))

    met = Deadline.objects.filter(superseded_at=None, met_on__isnull=False)
    assert set(met.values_list("shipment__pro_number", flat=True)) == {"B2"}


def test_a_bill_cannot_be_signed_twice(dock):
    dock.sign((1, SIGNED))

    with pytest.raises(ClosedBillError, match="receipt of PRO B2 is already signed"):
        dock.sign((0, SIGNED), (1, REFUSED))
    assert not dock.bills[0].is_closed


def test_a_page_from_before_another_signature_is_stale(dock):
    before = dock.truck.version
    dock.sign((1, SIGNED))

    with pytest.raises(StaleRowError):
        dock.sign((0, SIGNED), version=before)


def test_a_bill_of_another_truck_or_none_is_refused(dock):
    other = making.make_handover(making.make_delivery(location=dock.who.riverside))
    dock.bills.append(other)

    for answers in (((3, SIGNED),), ((0, SIGNED), (3, SIGNED)), ()):
        with pytest.raises(RefusedError, match="not on this truck"):
            dock.sign(*answers)


def test_a_text_that_changed_after_it_was_read_is_not_signed(dock):
    read = bills_at_tailgate(dock.truck)[0].digest
    same = Signature("signed", "Lou", "both", "dark", read=read)
    other = Signature("signed", "Lou", "both", "dark", read="0123456789abcdef")

    with pytest.raises(RefusedError, match="exceptions of PRO A1 changed"):
        dock.sign((0, other))
    dock.sign((0, same))


def test_more_inspected_than_counted_is_not_signed(dock):
    crate = dock.bills[0].shipment.crates.get(number=1)
    crate.look = "clear"
    crate.save()
    row = dock.bills[0]
    row.pieces_counted = 0
    row.save()

    with pytest.raises(
        RefusedError, match=r"0 crates counted, but 1 inspected.*Nothing was signed"
    ):
        dock.sign((0, SIGNED))


def test_the_pod_is_asked_for_from_the_bills_own_signature_on(dock):
    dock.sign((1, SIGNED))
    late = ARRIVED + timedelta(days=2)

    assert not images_to_ask_for(dock.who.rosa, late - timedelta(minutes=1)).exists()
    assert [row.pk for row in images_to_ask_for(dock.who.rosa, late)] == [
        dock.bills[1].pk
    ]


def test_a_note_and_the_pod_follow_the_first_closed_bill(dock):
    with pytest.raises(RefusedError, match="No receipt of this truck is closed"):
        note_receipt(
            person=dock.who.rosa, at=ARRIVED, delivery=dock.truck, text="Late."
        )
    dock.sign((1, SIGNED))

    note_receipt(person=dock.who.rosa, at=ARRIVED, delivery=dock.truck, text="Late.")
    with pytest.raises(RefusedError, match="no POD to compare"):
        compare_image(
            person=dock.who.rosa,
            at=ARRIVED,
            handover=dock.bills[0],
            version=dock.bills[0].version,
            result="matches",
        )


class TestATruckSignedBefore:
    """The one signature of a truck counts for each of its bills, as it was."""

    @pytest.fixture
    def before(self, db):
        who = cast()
        truck = making.make_signed_delivery(
            location=who.riverside, signed_by=who.rosa, how_signed="refused"
        )
        bill = making.make_handover(truck, words_full="Crate 1: dented.")
        return who, truck, bill

    def test_each_bill_is_closed_and_says_with_the_truck(self, before):
        _, _, bill = before

        assert bill.is_closed
        assert bill.is_closed_by_truck
        assert bill.ending_words == "Driver refused to sign, with the truck"
        entry = receipt_entry(bill, ())
        assert entry.how_signed == "Driver refused to sign, with the truck"
        assert (entry.written_on, entry.driver) == ("Both copies", "Lou Parr")

    def test_nothing_of_it_is_signed_again(self, before):
        who, truck, bill = before

        with pytest.raises(ClosedTailgateError):
            sign_receipt(
                person=who.rosa,
                at=ARRIVED,
                delivery=truck,
                version=truck.version,
                signature=SIGNED,
            )
        with pytest.raises(ClosedTailgateError):
            sign_bills(
                person=who.rosa,
                at=ARRIVED,
                delivery=truck,
                version=truck.version,
                answers={bill.pk: SIGNED},
            )

    def test_its_pod_is_asked_for_from_the_trucks_signature_on(self, before):
        who, truck, bill = before

        late = truck.signed_at + timedelta(days=2)
        assert [row.pk for row in images_to_ask_for(who.rosa, late)] == [bill.pk]
