"""A yard drawn by a seed: crates in every state, their deposits, holds, checks, returns.

The rows are made as they may stand, not by the acts that lead there, so that rare sets of
facts are met as often as plain ones.
"""

from datetime import date, datetime, timedelta
from decimal import Decimal
from random import Random
from types import SimpleNamespace

from inventory.actions.core.versions import RefusedError
from inventory.models import (
    CrateCheck,
    CrateReturn,
    PartDeduction,
    ReturnLine,
)
from inventory.rules.crates.words import CRATE_STATES, ON_HAND
from inventory.rules.deposits import postings
from tests import making
from tests.ledger import AT, charge, make_terms, post
from tests.people import cast

TODAY = date(2026, 6, 1)
FIRST = date(2026, 1, 5)


class Yard:
    """Two places with three suppliers each, and ``count`` crates or so in all."""

    def __init__(self, seed, count=60):
        self.draw = Random(seed)
        self.who = cast()
        self.carrier = making.make_carrier()
        self.places = [self.who.riverside, self.who.hillcrest]
        self.todays = {
            place.pk: TODAY + timedelta(days=number)
            for number, place in enumerate(self.places)
        }
        self.books = [self._book(place) for place in self.places for _ in range(3)]
        for _ in range(count):
            self._crate(self.draw.choice(self.books))
        for _ in range(count // 6):
            self._loose(self.draw.choice(self.books))

    def _day(self, first=FIRST, last=TODAY):
        return first + timedelta(days=self.draw.randint(0, (last - first).days))

    def _maybe(self, value, odds=0.5):
        return value if self.draw.random() < odds else None

    def _book(self, place):
        supplier = making.make_supplier()
        book = SimpleNamespace(
            who=self.who,
            location=place,
            supplier=supplier,
            crate_type=making.make_crate_type(supplier),
            racks=making.make_crate_type(supplier, kept_by="count"),
        )
        self._terms(book)
        if self.draw.random() < 0.4:
            self._terms(book, starts_on=date(2026, 3, 1))
        book.bills = [self._bill(book) for _ in range(3)]
        return book

    def _terms(self, book, **over):
        if self.draw.random() < 0.15:
            return
        full = self.draw.choice((10, 30, 60, 90, 130))
        terms = make_terms(
            book.supplier,
            clock_starts=self.draw.choice(("invoice", "shipment", "receipt")),
            clock_stops=self.draw.choice(("pick-up", "bill-date", "receipt")),
            full_days=full,
            steps=((full, 50), (full + 20, 25)),
            ends_day=self._maybe(full + 40),
            ceiling_percent=self._maybe(Decimal(40)),
            memo_days=self.draw.choice((0, 14, 30)),
            transit_days=self.draw.randint(0, 3),
            oldest_first=self.draw.random() < 0.5,
            **over,
        )
        for part in book.crate_type.parts.all():
            if self.draw.random() < 0.7:
                PartDeduction.objects.create(
                    terms=terms, part=part, missing_cents=1_500, damaged_cents=700
                )

    def _bill(self, book):
        came = self._day()
        bill = making.make_shipment(
            location=book.location,
            supplier=book.supplier,
            bol_on=self._maybe(came - timedelta(days=3), 0.8),
        )
        truck = making.make_delivery(location=book.location, arrived_on=came)
        return bill, self._maybe(truck, 0.85)

    def _crate(self, book):
        bill, truck = self.draw.choice(book.bills)
        if self.draw.random() < 0.15:
            making.make_crate(
                bill,
                delivery=truck,
                look=self.draw.choice(("clear", "refused", "damaged")),
                opened_at=None,
            )
            return
        states = [*ON_HAND * 3, *(key for key in CRATE_STATES if key)]
        state = self.draw.choice(states)
        crate = making.make_reusable(
            bill,
            delivery=truck,
            state=state,
            crate_type=self.draw.choice((book.crate_type, book.crate_type, book.racks)),
        )
        self._hold(crate)
        self._check(book, crate)
        if self.draw.random() < 0.85:
            deposit = charge(
                book,
                crates=[crate],
                marks=[crate.mark],
                invoiced_on=self._day(),
                amount_cents=self.draw.choice((12_000, 9_950, 33)),
            )
            self._moves(book, crate, deposit)
        if self.draw.random() < 0.1:  # found out later, so that it was charged
            type(crate).objects.filter(pk=crate.pk).update(look="refused")

    def _loose(self, book):
        mark = self.draw.choice(("", "ZZ-1", "HT-001", "HT-002"))
        try:
            deposit = charge(
                book,
                invoiced_on=self._day(),
                marks=[mark] if mark else [],
                crate_type=self.draw.choice((book.crate_type, book.racks)),
            )
        except RefusedError:  # the mark is a refused crate's
            return
        if self.draw.random() < 0.3:
            self._post(book, postings.forfeited(deposit.pk, deposit.amount_cents))

    def _hold(self, crate):
        placed = FIRST
        while self.draw.random() < 0.35:
            placed += timedelta(days=self.draw.randint(1, 30))
            gone = self._maybe(placed + timedelta(days=self.draw.randint(0, 20)), 0.6)
            released = {
                "released_on": gone,
                "released_at": gone and datetime.combine(gone, AT.timetz()),
                "released_by": self.who.mina,
                "released_how": "waived",
            }
            making.make_packaging_hold(
                crate,
                placed_on=placed,
                placed_by=self.who.mina,
                supplier_stopped_on=self._maybe(placed, 0.4),
                **(released if gone else {}),
            )
            if gone is None:
                return
            placed = gone

    def _check(self, book, crate):
        while self.draw.random() < 0.4:
            check = CrateCheck.objects.create(
                crate=crate,
                result="incomplete",
                checked_at=AT,
                checked_by=self.who.rosa,
            )
            for part in book.crate_type.parts.all():
                if self.draw.random() < 0.5:
                    check.lines.create(
                        part=part,
                        missing=self.draw.randint(0, 2),
                        damaged=self.draw.randint(0, 1),
                    )

    def _moves(self, book, crate, deposit):
        """Put the crate on a return, and let some of its credit be paid or disputed."""
        if crate.state in ON_HAND and self.draw.random() < 0.6:
            return
        gone = self._maybe(self._day(date(2026, 5, 1), self.todays[book.location.pk]))
        row = CrateReturn.objects.create(
            location=book.location,
            supplier=book.supplier,
            carrier=self.carrier,
            number=f"R{crate.pk}",
            state="shipped" if gone else "staging",
            currency="USD",
            picked_up_on=gone,
            billed_on=gone and self._maybe(gone + timedelta(days=2)),
            received_back_on=gone and self._maybe(gone + timedelta(days=5)),
            memo_due_on=gone and self._maybe(gone + timedelta(days=20), 0.7),
            made_at=AT,
            made_by=self.who.rosa,
        )
        ReturnLine.objects.create(
            crate_return=row,
            crate=crate,
            deposit=deposit,
            is_taken_off=self.draw.random() < 0.2,
        )
        if gone is None or self.draw.random() < 0.3:
            return
        cents = deposit.amount_cents
        some = self.draw.choice((cents, cents // 2))
        parts = [postings.Line(postings.EXPECTED, some, deposit.pk)]
        parts += [postings.Line(postings.RECEIVABLE, -some, deposit.pk)]
        self._post(book, parts)
        if self.draw.random() < 0.4:
            paid = self.draw.choice((some, some // 3))
            to = self.draw.choice((postings.SUPPLIER, postings.DISPUTED))
            self._post(
                book,
                [
                    postings.Line(to, paid, deposit.pk),
                    postings.Line(postings.EXPECTED, -paid, deposit.pk),
                ],
            )

    def _post(self, book, lines):
        post(book, "memo", lines, effective_on=TODAY)
