"""Short ways to ship crates back and to enter memos, through the real actions."""

import itertools
from datetime import UTC, date, datetime

from django.db.models import Sum

from inventory.actions.deposits.short_rows import Decided
from inventory.actions.memos.entering import enter_memo
from inventory.actions.returns.shipping import Departure, ship_return
from inventory.actions.returns.staging import make_return, stage_crates
from inventory.models import Entry, Leg, ShortCredit
from inventory.rules.memos.matching import Line
from tests.ledger import charge, make_book, make_terms
from tests.making import make_carrier, make_reusable

AT = datetime(2026, 4, 1, 15, 0, tzinfo=UTC)
LEFT = date(2026, 4, 1)
MEMO_DAY = date(2026, 4, 20)

_count = itertools.count(1)


def make_stage(*, crates=3, terms=True, who=None, **over):
    """Make a book with terms and complete, charged crates, and a carrier."""
    book = make_book(who)
    book.carrier = make_carrier()
    if terms:
        book.terms = make_terms(book.supplier, **over)
    book.crates = [ready_crate(book) for _ in range(crates)]
    book.deposits = [crate.deposits.get() for crate in book.crates]
    return book


def ready_crate(book, **over):
    """Make one crate, complete and charged at 120.00."""
    values = {"state": "complete", "crate_type": book.crate_type}
    crate = make_reusable(book.shipment, **{**values, **over})
    charge(book, crates=[crate], marks=[crate.mark])
    return crate


def begin(book, **over):
    """Start a return of Rosa's."""
    values = {
        "location": book.location,
        "supplier": book.supplier,
        "person": book.who.rosa,
        "at": AT,
        "today": LEFT,
        "carrier": book.carrier,
    }
    return make_return(**{**values, **over})


def stage(book, crate_return, crates=None):
    """Stage the book's crates, or these."""
    chosen = book.crates if crates is None else crates
    return stage_crates(
        crate_return=crate_return, crates=chosen, person=book.who.rosa, at=AT
    )


def ship(book, crate_return, **over):
    """Ship the return on the first of April."""
    values = {"left_on": LEFT, "billed_on": LEFT, "carrier": book.carrier}
    crate_return.refresh_from_db()
    return ship_return(
        crate_return=crate_return,
        version=crate_return.version,
        departure=Departure(**{**values, **over}),
        person=book.who.rosa,
        at=AT,
    )


def shipped(book, crates=None, **over):
    """Start, stage and ship a return; return it."""
    row = begin(book)
    stage(book, row, crates)
    return ship(book, row, **over)


def memo_of(book, *lines, **over):
    """Enter a memo; each line is a crate or a mark, with cents and perhaps a remark."""
    said = [
        Line(
            place,
            line[1],
            line[0] if isinstance(line[0], str) else line[0].mark,
            remark=line[2] if len(line) > 2 else "",
        )
        for place, line in enumerate(lines, start=1)
    ]
    values = {
        "location": book.location,
        "supplier": book.supplier,
        "number": f"CM-{next(_count)}",
        "dated_on": MEMO_DAY,
        "received_on": MEMO_DAY,
        "lines": said,
        "person": book.who.abel,
        "at": AT,
    }
    return enter_memo(**{**values, **over})


def decided(book, reason="Looked at it.", **over):
    """Return a decision of Abel's."""
    values = {
        "on": MEMO_DAY,
        "posting_key": f"decided-{next(_count)}",
        "person": book.who.abel,
        "at": AT,
        "reason": reason,
    }
    return Decided(**{**values, **over})


def balances():
    """Return the balance of each kind of account, without those at zero."""
    rows = Leg.objects.order_by().values("account__kind").annotate(cents=Sum("cents"))
    return {row["account__kind"]: row["cents"] for row in rows if row["cents"]}


def expect_books_in_order():
    """Check what must always hold of the ledger and of the short-paid credits."""
    for entry in Entry.objects.all():
        assert entry.legs.aggregate(total=Sum("cents"))["total"] == 0, entry
    for kind, state in (("credits-expected", "open"), ("disputed-credits", "disputed")):
        shorts = ShortCredit.objects.filter(state=state)
        for short in shorts:
            legs = Leg.objects.filter(deposit=short.deposit, account__kind=kind)
            stands = legs.aggregate(total=Sum("cents"))["total"] or 0
            of_deposit = shorts.filter(deposit=short.deposit)
            told = of_deposit.aggregate(total=Sum("amount_cents"))["total"]
            assert stands == told, (kind, short)
