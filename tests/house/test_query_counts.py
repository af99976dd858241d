"""Every list takes as many queries with five rows, or twenty, as with one."""

from datetime import date
from types import SimpleNamespace

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.actions.deposits.earlier_credits import bring_in_credits
from inventory.models import (
    Assignment,
    BalanceAssertion,
    CarrierTerm,
    CrateReturn,
    CreditMemo,
    MemoLine,
)
from tests import ledger, making
from tests.house.access_rows import make_deadline
from tests.house.addresses import undone
from tests.house.counting import CountsQueries
from tests.house.return_rows import add_line, make_held, make_return_rows, make_short
from tests.making import ARRIVED
from tests.people import cast, make_location, make_person

pytestmark = [pytest.mark.database, pytest.mark.slow]

LETTERS = "ABCDEFGHIJKLMNOPQRST"


def one_truck(who, _number):
    """Make a signed truck with a bill, an unopened crate and a duty that runs."""
    delivery = making.make_signed_delivery(location=who.riverside, signed_by=who.rosa)
    shipment = making.make_shipment(location=who.riverside, carrier=delivery.carrier)
    making.make_handover(delivery, shipment)
    crate = making.make_crate(shipment, delivery=delivery, look="clear")
    make_deadline(shipment, delivery=delivery)
    return SimpleNamespace(
        delivery=delivery,
        shipment=shipment,
        crate=crate,
        unit=making.make_unit(shipment, crate=crate),
    )


def one_waiting_truck(who, _number):
    """Make a truck whose receipt is not signed yet, with one crate."""
    shipment = making.make_shipment(location=who.riverside)
    delivery = making.make_delivery(location=who.riverside, carrier=shipment.carrier)
    making.make_handover(delivery, shipment)
    making.make_crate(shipment, delivery=delivery)
    return SimpleNamespace(delivery=delivery, shipment=shipment)


def one_finding(who, truck):
    """Record a finding on a machine of its own crate, with a photo."""
    crate = making.make_crate(truck.shipment, delivery=truck.delivery, look="clear")
    unit = making.make_unit(truck.shipment, crate=crate)
    look = making.make_inspection(crate=crate, unit=unit, looked_by=who.tomas)
    finding = making.make_finding(look)
    making.attach_photo(finding, recorded_by=who.tomas)
    making.make_hold(unit, placed_by=who.tomas)
    return finding


def one_find(who, number):
    """Make a truck with a finding that no claim holds yet."""
    one_finding(who, one_truck(who, number))


def one_claim(who, number):
    """Make a truck, its finding and the claim for it."""
    truck = one_truck(who, number)
    truck.claim = making.make_claim(truck.shipment, made_by=who.mina)
    making.make_claim_letter(truck.claim, confirmed_by=who.mina)
    one_line(who, truck)


def one_line(who, truck):
    """Add a finding of this freight bill to its claim, with a duty that runs."""
    finding = one_finding(who, truck)
    making.make_claim_letter(truck.claim, confirmed_by=who.mina)
    making.make_claim_line(
        truck.claim,
        finding=finding,
        unit=finding.unit,
        label=f"Finding {finding.number}",
    )
    make_deadline(truck.shipment, delivery=truck.delivery, claim=truck.claim)


def one_bare_finding(who, rows):
    """Record a finding that no claim holds yet."""
    one_finding(who, rows.bare)


def one_mark(who, rows):
    """Record a finding on the truck's one machine, with a photo."""
    look = making.make_inspection(crate=rows.crate, unit=rows.unit, looked_by=who.tomas)
    making.attach_photo(making.make_finding(look))


def one_photo(who, rows):
    """Point the one finding at one more photo."""
    making.attach_photo(rows.finding, recorded_by=who.tomas)


def one_waiting_crate(_who, rows):
    """Add a crate with a mark on it to the truck that is not signed for."""
    truck = rows.waiting
    crate = making.make_crate(truck.shipment, delivery=truck.delivery, look="exception")
    look = making.make_inspection(
        crate=crate, stage="tailgate", crate_condition="marked"
    )
    making.attach_photo(making.make_finding(look))


def one_carrier(_who, _number):
    """Make a carrier with a period of its own."""
    CarrierTerm.objects.create(
        carrier=making.make_carrier(),
        duty="concealed-notice",
        count=2,
        unit="business-days",
        starts="delivery",
        source="Its tariff",
    )


def one_supplier(_who, _number):
    """Make a supplier with a period of its own."""
    making.make_supplier_period(making.make_supplier())


def one_person(who, number):
    """Make a person with two roles at two locations."""
    person = make_person(f"person{number}", f"Person {number}")
    for location in (who.riverside, who.hillcrest):
        Assignment.objects.create(person=person, location=location, role="clerk")


def one_location(_who, number):
    """Make a location."""
    make_location(f"Q{LETTERS[number]}")


def one_return(who, number):
    """Make returns, a memo with a line, a difference and a statement."""
    truck = one_truck(who, number)
    rows = make_return_rows(who, truck.shipment, number)
    BalanceAssertion.objects.create(
        currency="USD",
        location=who.riverside,
        supplier=truck.shipment.supplier,
        as_of=date(2026, 3, 20),
        stated_cents=0,
        entered_at=ARRIVED,
        entered_by=who.abel,
    )
    return rows


def one_booking(who, number):
    """Make a crate on deposit under terms, charged; and one charged without a crate."""
    truck = one_truck(who, number)
    book = SimpleNamespace(
        who=who,
        location=who.riverside,
        supplier=truck.shipment.supplier,
        shipment=truck.shipment,
        crate_type=making.make_crate_type(truck.shipment.supplier),
    )
    ledger.make_terms(book.supplier)
    ledger.charged_crate(book)
    ledger.charge(book)


def one_earlier(who, number):
    """Bring in a credit for a crate that went home before these books began."""
    truck = one_truck(who, number)
    supplier = truck.shipment.supplier
    ledger.make_terms(supplier)
    bring_in_credits(
        location=who.riverside,
        supplier=supplier,
        bill_number=f"R-{number}",
        shipped_on=date(2026, 3, 1),
        reference="",
        crate_type=making.make_crate_type(supplier),
        count=1,
        amount_cents=9_000,
        marks=[],
        currency="USD",
        opened_on=date(2026, 3, 10),
        posting_key=f"earlier-{number}",
        person=who.abel,
        at=ARRIVED,
    )


def one_line_home(who, rows):
    """Add a crate with a difference to the return, and a line to the memo."""
    line = add_line(who, rows.crate_return, rows.home_shipment, "shipped")
    memo_line = MemoLine.objects.create(
        memo=rows.memo,
        position=rows.memo.lines.count() + 2,
        mark=line.crate.mark,
        amount_cents=9_000,
        deposit=line.deposit,
        expected_cents=12_000,
        fate="price",
    )
    make_short(line, memo_line)
    make_held(memo_line)


def one_expected(who, number):
    making.make_expected(location=who.riverside, pro_number=f"Q-{number}")


def one_open_claim(who, carrier=None):
    """Make a claim that was sent, of this carrier or of one of its own."""
    bill = making.make_shipment(
        location=who.riverside, carrier=carrier or making.make_carrier()
    )
    claim = making.make_claim(bill, state="sent", sent_on=ARRIVED.date())
    making.make_claim_line(claim)
    return claim


def one_remittance(who, _number):
    """Make a payer with an open claim, and a remittance that was put against it."""
    making.make_remittance(one_open_claim(who))


def one_part(who, rows):
    """Put the remittance against one more claim of its carrier, open for the rest."""
    claim = one_open_claim(who, rows.remittance.carrier)
    making.make_claim_payment(claim, remittance=rows.remittance)


LISTS = [
    ("dock", "rosa", one_truck),
    ("dock", "rosa", one_waiting_truck),
    ("deliveries", "rosa", one_truck),
    ("expected", "rosa", one_expected),
    ("bench", "tomas", one_truck),
    ("bench", "tomas", one_find),
    ("claims", "mina", one_find),
    ("claims", "mina", one_claim),
    ("remittances", "abel", one_remittance),
    ("carriers", "mina", one_carrier),
    ("suppliers", "mina", one_supplier),
    ("returns", "rosa", one_return),
    ("memos", "abel", one_return),
    ("short_credits", "abel", one_return),
    ("suspense", "abel", one_return),
    ("earlier_credits", "abel", one_earlier),
    ("month_end", "abel", one_return),
    ("statements", "abel", one_return),
    ("deposits", "abel", one_return),
    ("deposits", "abel", one_booking),
    ("balances", "abel", one_booking),
    ("journal", "abel", one_booking),
    ("trial_balance", "abel", one_booking),
    ("ledger_account", "abel", one_booking),
    ("plan_returns", "abel", one_booking),
    ("people", "ada", one_person),
    ("locations", "ada", one_location),
    ("welcome", "ada", one_person),
    ("welcome", "ada", one_carrier),
    ("welcome", "ada", one_supplier),
]
"""Each list with who reads it and what makes one more row of it."""

STORIES = [
    ("delivery", "rosa", "delivery", one_line),
    ("shipment", "mina", "shipment", one_line),
    ("claim", "mina", "claim", one_line),
    ("claim_letters", "mina", "claim", one_line),
    ("unit", "tomas", "unit", one_mark),
    ("finding", "mina", "finding", one_photo),
    ("record_finding", "tomas", "bare_shipment", one_bare_finding),
    ("make_claim", "mina", "bare_shipment", one_bare_finding),
    ("tailgate", "rosa", "open_delivery", one_waiting_crate),
    ("crate_labels", "rosa", "shipment", one_line),
    ("sign_receipt", "rosa", "open_delivery", one_waiting_crate),
    ("crate_return", "abel", "crate_return", one_line_home),
    ("memo", "abel", "memo", one_line_home),
    ("remittance", "abel", "remittance", one_part),
    ("record_remittance", "abel", "place", one_part),
]
"""Pages of one row that list its crates, machines, findings, photos and duties."""


class TestQueryCounts(CountsQueries, TestCase):
    def setUp(self):
        self.who = cast()

    def test_a_list_takes_the_same_with_twenty_rows(self):
        for name, person, make_one in LISTS:
            with self.subTest(page=name, row=make_one.__name__), undone():
                self.expect_same(
                    reverse(name), person, lambda n, make=make_one: make(self.who, n)
                )

    def test_a_story_takes_the_same_with_twenty_of_everything(self):
        for name, person, kind, make_one in STORIES:
            with self.subTest(page=name), undone():
                rows = beginnings(self.who)
                url = reverse(name, args=[getattr(rows, kind).pk])
                self.expect_same(
                    url,
                    person,
                    lambda _n, make=make_one, rows=rows: make(self.who, rows),
                )


def beginnings(who):
    """Make the one truck, bill and claim that each story page is opened on."""
    truck = one_truck(who, 0)
    bare = one_truck(who, 0)
    waiting = one_waiting_truck(who, 0)
    home = one_truck(who, 0).shipment
    made = make_return_rows(who, home, 90)
    return SimpleNamespace(
        **vars(truck),
        home_shipment=home,
        crate_return=CrateReturn.objects.get(pk=made["return_left"][0]),
        memo=CreditMemo.objects.get(pk=made["memo"][0]),
        claim=making.make_claim(truck.shipment, made_by=who.mina),
        remittance=making.make_remittance(one_open_claim(who)),
        place=who.riverside,
        finding=one_finding(who, truck),
        bare=bare,
        bare_shipment=bare.shipment,
        waiting=waiting,
        open_delivery=waiting.delivery,
    )
