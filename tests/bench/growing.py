"""A house at any age: as much open work on the first day as after ten years.

Two places. What is closed is a few whole stories, copied back through the years; what
is open is made of 400 crates and machines, however many are closed.
"""

import datetime as dt
from types import SimpleNamespace

from claims.actions.books.posting import post_claim
from claims.rules.books import kinds
from inventory.actions.deposits.ending import charge_deposits
from inventory.actions.ledger.posting import post_entry
from inventory.models import (
    Account,
    BalanceAssertion,
    Crate,
    CrateReturn,
    CreditMemo,
    MemoLine,
    ReturnLine,
    Unit,
)
from inventory.rules.deposits.postings import EXPECTED, RECEIVABLE, SUPPLIER, Line
from tests import ledger, making
from tests.bench.copies import Block
from tests.house.access_rows import make_deadline
from tests.house.return_rows import make_held, make_short
from tests.making import ARRIVED
from tests.people import cast

CLOSED, OPEN = 60, 40
"""How many crates and machines the closed and the open stories have."""
OPEN_COPIES = 10
DAY = dt.date(2026, 3, 10)
CENTS = 12_000


class GrowingHouse:
    """The house: ``grow(n)`` until it has so many crates and machines.

    The open story is there ``open_copies`` times: 10 are 400 open crates and machines.
    """

    def __init__(self, open_copies=OPEN_COPIES):
        self.open_copies = open_copies
        self.who = cast()
        self.books = [_book(self.who, place) for place in self._places()]
        self.open_block = Block.begin()
        self.story = _open_story(self.who, self.books[0])
        self.open_block.end().copy(range(1, open_copies), in_past=False)
        self.closed_block = Block.begin()
        for place, book in enumerate(self.books):
            _closed_story(self.who, book, place)
        self.closed_block.end()
        self.copies = 0

    def _places(self):
        return (self.who.riverside, self.who.hillcrest, self.who.riverside)

    def grow(self, crates):
        """Add closed stories until there are about as many crates."""
        wanted = max(0, (crates - OPEN * self.open_copies) // CLOSED - 1)
        if wanted > self.copies:
            self.closed_block.copy(range(self.copies + 1, wanted + 1))
            self.copies = wanted
        return self

    @property
    def size(self):
        """How many crates there are, and how many machines."""
        return Crate.objects.count(), Unit.objects.count()


def _book(who, place):
    supplier, carrier = making.make_supplier(), making.make_carrier()
    crate_type = making.make_crate_type(supplier)
    ledger.make_terms(supplier, rates=((crate_type, CENTS),))
    for kind in (RECEIVABLE, EXPECTED, SUPPLIER):
        Account.objects.create(
            location=place, supplier=supplier, kind=kind, currency="USD"
        )
    for kind in kinds.ACCOUNT_KINDS:
        Account.objects.create(
            location=place, carrier=carrier, kind=kind, currency="USD"
        )
    return SimpleNamespace(
        who=who,
        location=place,
        supplier=supplier,
        carrier=carrier,
        crate_type=crate_type,
        setup_list=making.make_setup_list(),
    )


def _bill(book, **over):
    return making.make_shipment(
        location=book.location, supplier=book.supplier, carrier=book.carrier, **over
    )


def _truck(book, *, signed, **over):
    make = making.make_signed_delivery if signed else making.make_delivery
    more = {"signed_by": book.who.rosa} if signed else {}
    truck = make(location=book.location, carrier=book.carrier, **more)
    bill = _bill(book, **over)
    closed = {"how_signed": "signed", "signed_at": ARRIVED, "signed_by": book.who.rosa}
    making.make_handover(
        truck, bill, carrier_image="agrees", **(closed if signed else {})
    )
    return truck, bill


def _machine(bill, truck, place, **over):
    crate = making.make_crate(
        bill, delivery=truck, mark=f"HT{bill.pk}X{place}Y", **{"look": "clear"} | over
    )
    unit = making.make_unit(bill, crate=crate, serial=f"TX48N{crate.pk}Z")
    return crate, unit


def _crates(book, on, *, count, state):
    """Make reusable crates with a machine each, charged by the supplier's invoice."""
    bill, truck = on
    found = []
    for place in range(count):
        crate, _ = _machine(
            bill,
            truck,
            50 + place,
            kind="reusable",
            state=state,
            crate_type=book.crate_type,
            opened_at=ARRIVED,
            opened_on=DAY,
        )
        found.append(crate)
    deposits = []
    for crate in found:
        deposits += charge_deposits(
            location=book.location,
            supplier=book.supplier,
            invoice_number=f"INV{crate.pk}N",
            line_number=1,
            invoiced_on=DAY,
            crate_type=book.crate_type,
            count=1,
            amount_cents=CENTS,
            marks=[crate.mark],
            crates=[crate],
            posting_key=f"charge-{crate.pk}-",
            person=book.who.abel,
            at=ARRIVED,
        )
    return found, deposits


def _post(book, kind, deposit, sides):
    debit, credit = sides
    return post_entry(
        kind=kind,
        lines=(Line(debit, CENTS, deposit.pk), Line(credit, -CENTS, deposit.pk)),
        location=book.location,
        supplier=book.supplier,
        currency="USD",
        effective_on=DAY,
        posting_key=f"{kind}-{deposit.pk}-",
        person=book.who.abel,
        at=ARRIVED,
    )


def _return(book, number, loaded, state):
    crates, deposits = loaded
    row = CrateReturn.objects.create(
        location=book.location,
        supplier=book.supplier,
        carrier=book.carrier,
        number=number,
        state=state,
        currency="USD",
        made_at=ARRIVED,
        made_by=book.who.rosa,
        **({} if state == "staging" else {"picked_up_on": DAY, "billed_on": DAY}),
    )
    for crate, deposit in zip(crates, deposits, strict=True):
        entry = None
        if state != "staging":
            entry = _post(book, "credit-expected", deposit, (EXPECTED, RECEIVABLE))
        ReturnLine.objects.create(
            crate_return=row,
            crate=crate,
            deposit=deposit,
            expected_cents=None if entry is None else CENTS,
            expected_entry=entry,
        )
    return row


def _memo(book, number, deposits, *, posted):
    row = CreditMemo.objects.create(
        location=book.location,
        supplier=book.supplier,
        number=number,
        dated_on=DAY,
        received_on=DAY,
        currency="USD",
        is_posted=posted,
        made_at=ARRIVED,
        made_by=book.who.abel,
    )
    lines = []
    for place, deposit in enumerate(deposits, start=1):
        entry = _post(book, "memo", deposit, (SUPPLIER, EXPECTED)) if posted else None
        lines.append(
            MemoLine.objects.create(
                memo=row,
                position=place,
                mark=deposit.mark,
                amount_cents=CENTS,
                deposit=deposit,
                expected_cents=CENTS,
                fate="as-expected",
                entry=entry,
            )
        )
    return row, lines


def _inspected(book, crate, unit, *, with_finding=False):
    look = making.make_inspection(crate=crate, unit=unit, looked_by=book.who.tomas)
    if not with_finding:
        return None
    finding = making.make_finding(look)
    making.make_reading(making.attach_photo(finding, recorded_by=book.who.tomas))
    return finding


def _released(book, unit):
    setup = making.make_setup(unit, setup_list=book.setup_list, begun_by=book.who.tomas)
    making.make_setup_reading(setup, taken_by=book.who.tomas)
    making.make_sign_off(unit, setup=setup, signed_by=book.who.tomas)
    making.make_departure(unit, recorded_by=book.who.tomas)


def _claim(book, bill, unit, finding, **over):
    claim = making.make_claim(
        bill, made_by=book.who.mina, number=f"C{bill.pk}N", **over
    )
    making.make_claim_line(claim, finding=finding, unit=unit)
    making.make_claim_letter(claim, confirmed_by=book.who.mina)
    return claim


def _booked(book, claim):
    """Post what the books would hold of the claim had it been filed into them."""
    post_claim(claim, on=DAY, person=book.who.abel, at=ARRIVED, is_filing=True)


def _closed_story(who, book, place):
    """Make 20 crates and machines of which nothing is left to do."""
    truck, bill = _truck(book, signed=True)
    making.make_evidence(delivery=truck, kind="load", recorded_by=who.rosa)
    making.make_evidence(delivery=truck, shipment=bill, kind="receipt")
    for _ in range(3):
        making.make_expected(
            location=book.location,
            supplier=book.supplier,
            shipment=bill,
            made_by=who.rosa,
        )
    for number in range(12):
        crate, unit = _machine(bill, truck, number, opened_at=ARRIVED, opened_on=DAY)
        finding = _inspected(book, crate, unit, with_finding=number < 2)
        _released(book, unit)
        if finding is not None:
            released = {"released_at": ARRIVED, "released_how": "waived"}
            making.make_hold(unit, placed_by=who.tomas, **released)
        if number == 0:
            claim = _claim(
                book,
                bill,
                unit,
                finding,
                state="settled",
                closed_on=DAY,
                sent_on=DAY,
                received_on=DAY,
                carrier_claim_number=f"PF{bill.pk}N",
            )
            making.make_claim_payment(claim, cents=48_000)
            _booked(book, claim)
            make_deadline(bill, delivery=truck, claim=claim, duty="claim", met_on=DAY)
        elif finding is not None:
            type(finding).objects.filter(pk=finding.pk).update(route="nowhere")
    make_deadline(bill, delivery=truck, met_on=DAY)
    make_deadline(bill, delivery=truck, superseded_at=ARRIVED)
    making.make_notice(bill, delivery=truck, written_by=who.mina)
    crates, deposits = _crates(book, (bill, truck), count=8, state="credited")
    for crate in crates:
        unit = crate.units.get()
        _inspected(book, crate, unit)
        _released(book, unit)
    row = _return(book, f"R{place}N", (crates, deposits), "closed")
    _, lines = _memo(book, f"CM{place}N", deposits, posted=True)
    for line, memo_line in zip(row.lines.all()[:3], lines[:3], strict=True):
        make_short(line, memo_line, state="accepted", settled_on=DAY)
        make_held(memo_line, state="returned", settled_on=DAY)
    BalanceAssertion.objects.create(
        currency="USD",
        location=book.location,
        supplier=book.supplier,
        as_of=DAY,
        stated_cents=0,
        entered_at=ARRIVED,
        entered_by=who.abel,
    )


def _open_story(who, book):
    """Make 40 crates and machines, each with something left to do; return its rows."""
    waiting, open_bill = _truck(book, signed=False)
    for number in range(10):
        _machine(open_bill, waiting, number, look="")
    truck, bill = _truck(book, signed=True)
    making.make_evidence(delivery=truck, kind="load", recorded_by=who.rosa)
    make_deadline(bill, delivery=truck)
    for number in range(10):
        _machine(bill, truck, number)
    lacking_truck, lacking = _truck(book, signed=True, bol_number="")
    findings = []
    for number in range(10):
        crate, unit = _machine(
            lacking, lacking_truck, number, opened_at=ARRIVED, opened_on=DAY
        )
        if number > 1:
            findings.append(_inspected(book, crate, unit, with_finding=number > 4))
        if number > 7:
            making.make_hold(unit, placed_by=who.tomas)
    finding = findings[-1]
    claim = _claim(
        book,
        lacking,
        finding.unit,
        finding,
        state="sent",
        sent_on=DAY,
        carrier_claim_number="PFOPEN",
    )
    _booked(book, claim)
    make_deadline(lacking, delivery=lacking_truck, claim=claim, duty="claim")
    here, deposits = _crates(book, (lacking, lacking_truck), count=4, state="full")
    for state, kind, number in (
        ("staged", "staging", "S"),
        ("shipped", "shipped", "T"),
    ):
        crates, owed = _crates(book, (bill, truck), count=3, state=state)
        row = _return(book, f"R{number}N", (crates, owed), kind)
    memo, lines = _memo(book, "CMOPENN", owed[:2], posted=False)
    MemoLine.objects.create(memo=memo, position=9, mark="NOBODYS", amount_cents=CENTS)
    make_short(row.lines.last(), lines[0])
    make_held(lines[1])
    making.make_expected(
        location=book.location, supplier=book.supplier, made_by=who.rosa
    )
    return SimpleNamespace(
        delivery=truck,
        waiting=waiting,
        shipment=bill,
        unit=finding.unit,
        finding=finding,
        claim=claim,
        crate=here[0],
        deposit=deposits[0],
        crate_return=row,
        memo=memo,
    )
