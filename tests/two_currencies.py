"""A house with a supplier in US dollars and one in Canadian dollars, at every desk.

Each amount of dollars is a whole multiple of 101 cents and each Canadian one of 103, and
none of both. A pure sum, difference or half of the amounts here stays such a multiple;
what adds the two is one of neither.
"""

from datetime import UTC, date, datetime
from types import SimpleNamespace

from django.db.models import Q

from claims.actions.claim.answers import record_offer
from claims.actions.claim.overlap import answer_overlap
from claims.actions.claim.payments import Received, record_payment
from claims.models import Claim, ClaimLine, ClaimPayment, Finding, FindingPart
from claims.rules.letters.overlap import OverlapAnswer
from inventory.actions.deposits.ending import forfeit_deposit
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.short_credits import dispute_short, give_up_short
from inventory.actions.memos.suspense import WrittenAnswer, take_by_answer
from inventory.actions.returns.losses import lose_crate
from inventory.models import (
    BalanceAssertion,
    Crate,
    CrateReturn,
    CreditMemo,
    Delivery,
    Deposit,
    Entry,
    MemoLine,
    PackagingHold,
    ReturnCosts,
    ReturnLine,
    Shipment,
    ShortCredit,
    SuspenseLine,
    Unit,
)
from tests import making
from tests.claims.acts import calls_of
from tests.claims.booking import set_basis
from tests.claims.stage import claim_it, set_stage, step
from tests.house.access_rows import make_deadline
from tests.ledger import charge, make_terms
from tests.people import cast, make_person
from tests.returning import begin, decided, memo_of, ship, stage

UNITS = {"USD": 101, "CAD": 103}
"""The number of which every amount of a currency is a multiple, in cents."""

NOW = datetime(2026, 6, 1, 15, 0, tzinfo=UTC)
TODAY = date(2026, 6, 1)
AT = datetime(2026, 4, 1, 15, 0, tzinfo=UTC)


def make_house():
    """Make everything there is of money, once in each currency."""
    who = cast()
    # A minute of labor is 101 cents: 60.60 an hour.
    who.riverside.shop_rate_cents = 60 * UNITS["USD"]
    who.riverside.write_off_limit_cents = 100 * UNITS["USD"]
    who.riverside.save()
    set_basis(who, "filing", rate=60 * UNITS["USD"])
    houses = {code: _book(who, code) for code in UNITS}
    roles = ("clerk", "technician", "manager", "accounting")
    everything = make_person(
        "olga", "Olga Brack", *((who.riverside, role) for role in roles)
    )
    return SimpleNamespace(who=who, olga=everything, books=list(houses.values()))


def _book(who, code):
    unit = UNITS[code]
    supplier = making.make_supplier(name=f"Harrow Works {code}")
    book = SimpleNamespace(
        who=who,
        code=code,
        unit=unit,
        location=who.riverside,
        supplier=supplier,
        carrier=making.make_carrier(name=f"Plainsway {code}"),
        crate_type=making.make_crate_type(supplier),
    )
    book.shipment = making.make_shipment(
        location=who.riverside,
        supplier=supplier,
        carrier=book.carrier,
        currency=code,
        freight_charge_cents=400 * unit,
        freight_borne_cents=400 * unit,
    )
    book.delivery = making.make_signed_delivery(
        location=who.riverside, carrier=book.carrier, signed_by=who.rosa
    )
    making.make_handover(book.delivery, book.shipment, words_full="Crate 1: dented.")
    book.terms = make_terms(supplier, currency=code)
    _deposits(book)
    _claims(book)
    # A truck costs dollars, whichever currency the deposits are in.
    ReturnCosts.objects.create(
        location=book.location,
        supplier=supplier,
        currency="USD",
        pickup_cents=20 * UNITS["USD"],
        per_crate_cents=2 * UNITS["USD"],
        yard_cents_per_day=UNITS["USD"],
    )
    return book


def _deposits(book):
    """Charge ten crates; ship eight, and let each end in a way of its own."""
    book.crates = [_crate(book) for _ in range(11)]
    charge(book, amount_cents=100 * book.unit)  # on no crate
    home = begin(book)
    stage(book, home, book.crates[:8])
    ship(book, home, freight_cents=30 * book.unit, supplier_bills_freight=True)
    book.home = home
    waiting = begin(book)
    stage(book, waiting, book.crates[8:9])
    book.memo = _memo(book)
    _decide(book)
    memo_of(book, (book.crates[6], 120 * book.unit), ("QQ-2", 12 * book.unit))
    BalanceAssertion.objects.create(
        location=book.location,
        supplier=book.supplier,
        as_of=date(2026, 5, 20),
        stated_cents=7 * book.unit,
        currency=book.code,
        entered_at=AT,
        entered_by=book.who.abel,
    )


def _crate(book):
    crate = making.make_reusable(
        book.shipment,
        delivery=book.delivery,
        state="complete",
        crate_type=book.crate_type,
    )
    charge(book, amount_cents=120 * book.unit, crates=[crate], marks=[crate.mark])
    crate.refresh_from_db()
    return crate


def _memo(book):
    """Post a memo: one crate in full, three short, one left out, and one not ours."""
    unit = book.unit
    row = memo_of(
        book,
        (book.crates[0], 120 * unit),
        (book.crates[1], 90 * unit),
        (book.crates[2], 80 * unit, "late"),
        (book.crates[3], 119 * unit),
        ("ZZ-1", 33 * unit),
        ("ZZ-2", 21 * unit),
    )
    return post_memo(memo=row, version=row.version, person=book.who.abel, at=AT)


def _decide(book):
    shorts = {
        row.memo_line.position: row
        for row in ShortCredit.objects.filter(
            supplier=book.supplier, memo_line__isnull=False
        )
    }
    dispute_short(short=shorts[3], version=1, decided=decided(book))
    give_up_short(short=shorts[4], version=1, decided=decided(book))
    line = ReturnLine.objects.get(crate=book.crates[5])
    lose_crate(
        line=line,
        version=line.version,
        lost_on=date(2026, 4, 20),
        reason="Not found.",
        person=book.who.abel,
        at=AT,
    )
    forfeit_deposit(
        deposit=book.crates[9].deposits.get(),
        forfeited_on=date(2026, 4, 20),
        reason="It stays here.",
        posting_key=f"forfeit-{book.code}",
        person=book.who.abel,
        at=AT,
    )
    held = SuspenseLine.objects.filter(supplier=book.supplier).latest("pk")
    answer = WrittenAnswer(date(2026, 4, 21), "J. Hale, email")
    take_by_answer(line=held, version=1, answer=answer, decided=decided(book))


def _claims(book):
    """File two claims, one paid in part and one offered; leave a draft and a finding."""
    who, unit = book.who, book.unit
    book.claims = []
    for acts in (("send", "receive"), ("send", "receive", "offer"), ()):
        claim = _claim(book)
        for act in acts:
            _act(book, claim, act)
        book.claims.append(claim)
    paid = book.claims[0]
    record_payment(
        claim=paid, received=Received(50 * unit, "check"), step=step(who, paid)
    )
    found = _stage(book)
    book.finding = found.finding
    making.make_hold(found.unit, placed_by=who.tomas)
    making.make_packaging_hold(book.crates[10], placed_by=who.rosa)
    closed = making.make_crate(found.shipment, delivery=found.delivery, look="clear")
    making.make_unit(found.shipment, crate=closed, invoice_cents=5_000 * unit)
    make_deadline(found.shipment, delivery=found.delivery)


def _stage(book):
    unit = book.unit
    found = set_stage(book.who)
    bill = found.shipment
    bill.currency, bill.carrier, bill.supplier = book.code, book.carrier, book.supplier
    bill.freight_charge_cents = bill.freight_borne_cents = 400 * unit
    bill.save()
    found.unit.invoice_cents = 4_000 * unit
    found.unit.save()
    FindingPart.objects.update_or_create(
        finding=found.finding, defaults={"price_cents": 350 * unit}
    )
    # Two hours, priced at what is 60 units an hour in the bill's own currency.
    found.finding.rate_cents = 60 * unit
    found.finding.save()
    return found


def _claim(book):
    claim = claim_it(book.who, _stage(book))
    answer_overlap(claim=claim, said=OverlapAnswer(), step=step(book.who, claim))
    make_deadline(claim.shipment, claim=claim)
    return claim


def rows_of(book):
    """Return what each kind of address of the access table is tried with, a row or more."""
    claims = Claim.objects.filter(shipment__supplier=book.supplier)
    bills = Shipment.objects.filter(supplier=book.supplier)
    home, waiting = CrateReturn.objects.filter(supplier=book.supplier).order_by("pk")
    held = SuspenseLine.objects.filter(supplier=book.supplier)
    memos = CreditMemo.objects.filter(supplier=book.supplier)
    findings = Finding.objects.filter(shipment__in=bills)
    lines = ReturnLine.objects.filter(crate_return=home)
    by_query = {
        "crate_return": [home, waiting],
        "return_left": [home],
        "return_line": waiting.lines.all(),
        "return_line_left": lines,
        "delivery": Delivery.objects.filter(carrier=book.carrier),
        "shipment": bills,
        "unit": Unit.objects.filter(shipment__in=bills),
        "setup_unit": Unit.objects.filter(shipment__in=bills),
        "transit_finding": findings,
        "crate": Crate.objects.filter(shipment__in=bills),
        "yard_crate": book.crates,
        "packaging_hold": PackagingHold.objects.filter(crate__shipment__in=bills),
        "claim": claims,
        "line": ClaimLine.objects.filter(claim__in=claims),
        "payment": ClaimPayment.objects.filter(claim__in=claims),
        "deposit": Deposit.objects.filter(supplier=book.supplier),
        "entry": Entry.objects.filter(
            Q(supplier=book.supplier) | Q(carrier=book.carrier)
        ),
        "memo": memos,
        "memo_line": MemoLine.objects.filter(memo__in=memos),
        "short_credit": ShortCredit.objects.filter(supplier=book.supplier),
        "held_credit": held,
        "location": [book.location],
        "supplier": [book.supplier],
        "carrier": [book.carrier],
    }
    found = {kind: [[row.pk] for row in rows] for kind, rows in by_query.items()}
    found["place_and_supplier"] = [[book.location.pk, book.supplier.pk]]
    found["crate_type"] = [[book.supplier.pk, book.crate_type.pk]]
    letters = ("reminder", "counter-offer", "acceptance", "refusal")
    found["letter_kind"] = [[row.pk, kind] for row in claims for kind in letters]
    return found


def _act(book, claim, act):
    if act == "offer":
        record_offer(claim=claim, cents=200 * book.unit, step=step(book.who, claim))
        return
    calls_of(claim)[act](step(book.who, claim))
