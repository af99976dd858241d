"""Every total of every list is the ledger figure that its heading names.

The table below says for each list which figure each of its totals must equal. The
figures are summed from the ledger's own legs, by none of the queries of the pages. The
sources of the equalities are the definitions of the accounts in DEVELOPERS.md.
"""

import csv
import io
import os
from datetime import UTC, date, datetime
from unittest.mock import patch

import pytest
import time_machine
from django.db import transaction
from django.db.models import Q, Sum
from django.test import Client, TestCase
from django.urls import reverse
from openpyxl import load_workbook

from claims.actions.claim.endings import settle_claim
from claims.actions.claim.payments import Received, record_payment
from claims.models import ClaimPayment
from claims.rules.books import kinds
from claims.rules.books.rollforward import AGE_LABELS, LINES
from fixtures.story import tell_story
from inventory.models import BalanceAssertion, CreditMemo, Leg, ShortCredit, User
from inventory.queries.memos.supplier_statement import Span, statement_of
from inventory.rules.crates.words import ACCOUNTS, DEPOSIT_ACCOUNTS, ON_HAND
from tests.claims.acts import calls_of
from tests.claims.stage import TODAY, claim_it, set_stage, step
from tests.generated_books import Bookkeeper, posted_memos
from tests.house.access_table import LISTS as ADDRESSES
from tests.people import cast
from tests.pictures import camera_jpeg
from tests.returning import expect_books_in_order
from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.slow]

NOW = datetime(2026, 8, 4, 15, 0, tzinfo=UTC)
OPEN_KINDS = ("deposits-receivable", "credits-expected", "disputed-credits")

LOST = ("crate-charges", "forfeited-deposits", "deposits-written-off")

NOT_OF_THE_LEDGER = "a forecast or a history: no account holds it"


def account(*kinds, **where):
    """Return the figure of these kinds of account, of the legs that this names."""

    def figure(place):
        rows = Leg.objects.filter(
            account__location__in=place, account__kind__in=kinds, **where
        )
        return rows.aggregate(sum=Sum("cents"))["sum"] or 0

    return figure


def minus(figure):
    """Return the figure of a credit account with its sign left off."""
    return lambda place: -figure(place)


def of_memo_lines(kind, memo=None):
    """Return what the lines of posted memos put into an account, reversals counted."""

    def figure(place):
        ours = Q(entry__posting_key__startswith="memo-line:")
        undone = Q(entry__reverses__posting_key__startswith="memo-line:")
        rows = Leg.objects.filter(
            ours | undone, account__kind=kind, account__location__in=place
        )
        if memo is not None:
            keys = [f"memo-line:{line.pk}" for line in memo.lines.all()]
            rows = rows.filter(entry__posting_key__in=keys)
        return rows.aggregate(sum=Sum("cents"))["sum"] or 0

    return figure


def of_open_shorts(place):
    """Return what is expected on the deposits that have an open short-paid credit."""
    shorts = ShortCredit.objects.filter(state="open", location__in=place)
    return account("credits-expected", deposit__in=shorts.values("deposit"))(place)


def accepted(place):
    """Return the losses accepted, and what carriers owe for lost crates."""
    by_hand = sum(
        account("credits-expected", **{kind: "short-credit"})(place)
        for kind in ("entry__kind", "entry__reverses__kind")  # what was undone is gone
    )
    return account("carrier-losses")(place) - by_hand


def at_statements(place):
    """Return what the books held open on the day of each latest statement."""
    latest = {}
    for row in BalanceAssertion.objects.filter(location__in=place).order_by(
        "as_of", "pk"
    ):
        latest[row.location_id, row.supplier_id, row.currency] = row
    return sum(
        account(
            *OPEN_KINDS,
            account__supplier=row.supplier_id,
            entry__effective_on__lte=row.as_of,
        )([row.location_id])
        for row in latest.values()
    )


def sides(sign, **where):
    """Return the debits, or the credits, of every entry on the accounts named."""

    def figure(place):
        rows = Leg.objects.filter(entry__location__in=place, **where)
        rows = rows.filter(cents__gt=0) if sign > 0 else rows.filter(cents__lt=0)
        return sign * (rows.aggregate(sum=Sum("cents"))["sum"] or 0)

    return figure


def received(place):
    """Return the carriers' payments that count, reversals taken off."""
    rows = ClaimPayment.objects.filter(claim__location__in=place)
    taken = rows.filter(reverses=None, reversal=None)
    return sum(row.cents for row in taken if last_choice(row) == "full")


def last_choice(row):
    """Return what was decided last on a payment; one without the words needs nothing."""
    if not row.in_full:
        return "full"
    ends = row.steps.filter(act="decide-payment").exclude(choice="deposited")
    last = ends.order_by("pk").last()
    return last.choice if last else ""


def parts_in_the_books(place):
    """Return what the parts of remittances brought, less those that still wait."""
    here = ClaimPayment.objects.filter(claim__location__in=place, reversal=None)
    waiting = here.filter(
        remittance__isnull=False, in_full=True, steps__choice="deposited"
    )
    wait = sum(row.cents for row in waiting.distinct() if not last_choice(row))
    came_in = account(
        *(kinds.CASH, kinds.FREIGHT, kinds.MEMOS),
        entry__note__contains=", Remittance ",
    )
    return came_in(place) - wait


SHORTS = {
    "Open": of_open_shorts,
    "Disputed": account("disputed-credits"),
}
RETURNS = {
    "Still expected": account("credits-expected", deposit__shipped_back_on=None),
    "Disputed": account("disputed-credits", deposit__shipped_back_on=None),
}
EARLIER = {"deposit__shipped_back_on__isnull": False}
TABLE = {
    ("memos", ""): {
        "Posted": of_memo_lines("supplier-account"),
        "To post": NOT_OF_THE_LEDGER,
    },
    ("short_credits", ""): SHORTS
    | dict.fromkeys(
        ("Paid", "Loss accepted", "Written off", "Reversed"), lambda _place: 0
    ),
    ("short_credits", "which=all"): SHORTS
    | {
        "Paid": NOT_OF_THE_LEDGER,
        "Loss accepted": accepted,
        "Written off": account("deposits-written-off"),
        "Reversed": NOT_OF_THE_LEDGER,
    },
    ("suspense", "which=all"): {
        "Undecided": minus(account("supplier-suspense")),
        "Matched to a crate": account("supplier-suspense", entry__kind="held-matched"),
        "Returned to the supplier": account(
            "supplier-suspense", entry__kind="held-returned"
        ),
        "Taken as income": minus(account("credits-kept")),
        "Reversed": account("supplier-suspense", entry__kind="reversal"),
    },
    ("suspense", ""): {
        "Undecided": minus(account("supplier-suspense")),
    }
    | dict.fromkeys(
        (
            "Matched to a crate",
            "Returned to the supplier",
            "Taken as income",
            "Reversed",
        ),
        lambda _place: 0,
    ),
    ("statements", ""): {
        "On the statement": NOT_OF_THE_LEDGER,
        "In our books": at_statements,
        "Difference": NOT_OF_THE_LEDGER,
    },
    ("deposits", ""): {
        "Deposit": account("deposits-receivable"),
        "If shipped today": NOT_OF_THE_LEDGER,
    },
    ("balances", ""): {
        **{ACCOUNTS[kind]: account(kind) for kind in DEPOSIT_ACCOUNTS},
        "Open in all": account(*OPEN_KINDS),
        "Charges, forfeits, write-offs": account(*LOST),
    },
    ("journal", "first=2026-01-01&last=2026-08-04"): {
        "Debit": sides(1),
        "Credit": sides(-1),
    },
    ("trial_balance", "first=2026-01-01&last=2026-08-04"): {
        "Opening": lambda _place: 0,
        "Debit": sides(1),
        "Credit": sides(-1),
        "Closing": lambda _place: 0,
    },
    (
        "ledger_account",
        "kind=credits-expected&currency=USD&first=2026-01-01&last=2026-08-04",
    ): {
        "Debit": sides(1, account__kind="credits-expected"),
        "Credit": sides(-1, account__kind="credits-expected"),
    },
    ("books", "month=2026-08"): {
        "Opening": account(*kinds.GROSS, entry__effective_on__lt=date(2026, 8, 1)),
        **dict.fromkeys(LINES.values(), NOT_OF_THE_LEDGER),
        "Closing": account(*kinds.GROSS),
        "Of it beside the books": account(kinds.REGISTER, kinds.REGISTER_DECLINED),
        "Allowance": account(kinds.ALLOWANCE),
        "Shown on the balance sheet": account(
            kinds.RECEIVABLE, kinds.SUPPLIER_CLAIMS, kinds.DISPUTED, kinds.ALLOWANCE
        ),
    },
    ("books", "month=2026-08&list=open"): {
        **dict.fromkeys(AGE_LABELS, NOT_OF_THE_LEDGER),
        "Declined, in dispute": account(*kinds.IN_DISPUTE),
        "Open": account(*kinds.GROSS),
        "In the ledger": account(*kinds.GROSS),
    },
    ("remittances", ""): {
        "Received": NOT_OF_THE_LEDGER,
        "Put against claims": parts_in_the_books,
        "Not counted": NOT_OF_THE_LEDGER,
        "Owed to the payer": minus(
            account(kinds.OWED, entry__note__startswith="Remittance ")
        ),
    },
    ("earlier_credits", ""): {
        "Still expected": account("credits-expected", **EARLIER),
        "Disputed": account("disputed-credits", **EARLIER),
    },
    ("returns", ""): RETURNS,
    ("returns", "which=all"): RETURNS,
    ("crates", ""): {
        "Deposit": account(
            "deposits-receivable",
            deposit__crate__state__in=ON_HAND,
            deposit__crate__kind="reusable",
        ),
        "Credit if returned today": NOT_OF_THE_LEDGER,
    },
    ("claims", ""): {
        "Draft": NOT_OF_THE_LEDGER,
        "Claimed": NOT_OF_THE_LEDGER,
        "Received": received,
        "Still open": NOT_OF_THE_LEDGER,
        "Closed unpaid": NOT_OF_THE_LEDGER,
        "Overpaid": NOT_OF_THE_LEDGER,
    },
}
"""Each list with its filters: each summed heading, and the figure it must equal."""

WITHOUT_MONEY = {"deliveries", "expected"}
"""Lists that are taken away as files and have no amounts."""


def memo_table(memo):
    """Return the same for the lines of one memo."""
    paid = of_memo_lines("supplier-account", memo)
    held = minus(of_memo_lines("supplier-suspense", memo))
    return {
        "On the memo": paid,
        "For our crates": lambda place: paid(place) - held(place),
        "Expected": NOT_OF_THE_LEDGER,
        "Difference": NOT_OF_THE_LEDGER,
        "Held in suspense": held,
    }


def cents(text):
    """Return an amount of a file in cents."""
    whole, _, part = str(text).partition(".")
    sign = -1 if whole.startswith("-") else 1
    return int(whole) * 100 + sign * int((part + "00")[:2] or 0)


class Reader:
    """Reads the lists as one person of accounting sees them."""

    def __init__(self, person, place):
        self.browser = Client()
        self.browser.force_login(person)
        self.place = place

    def rows(self, address, query, form="csv"):
        answer = self.browser.get(f"{address}?{query}&as={form}")
        assert answer.status_code == 200, (address, query)
        if not answer["Content-Type"].startswith(("text/csv", "application/vnd")):
            return None
        if form == "csv":
            text = answer.getvalue().decode("utf-8-sig")
            return list(csv.reader(io.StringIO(text)))
        sheet = load_workbook(io.BytesIO(answer.content)).active
        return [["" if x is None else x for x in row] for row in sheet.values]

    def totals(self, address, query, form="csv"):
        """Return the totals of a list by heading, in cents; {} for an empty list."""
        rows = self.rows(address, query, form)
        if not str(rows[-1][0]).startswith("Total "):
            return {}
        return {
            str(head): round(float(cell) * 100) if form == "xlsx" else cents(cell)
            for head, cell in zip(rows[0], rows[-1], strict=True)
            if cell != "" and not str(cell).startswith("Total ")
        }

    def expect(self, table, address, query, form="csv"):
        totals = self.totals(address, query, form)
        if not totals:
            return
        assert set(totals) == set(table), (address, query)
        for heading, figure in table.items():
            if figure is not NOT_OF_THE_LEDGER:
                wanted = figure(self.place)
                assert totals[heading] == wanted, (address, query, heading)

    def expect_all(self, forms=("csv",)):
        """Check every list of the table, every memo, and what the pages sum up."""
        for form in forms:
            for (name, query), table in TABLE.items():
                self.expect(table, reverse(name), query, form)
            for memo in posted_memos().filter(location__in=self.place):
                self.expect(memo_table(memo), reverse("memo", args=[memo.pk]), "", form)
        self.expect_sums_within()
        self.expect_pages()

    def expect_sums_within(self):
        """Check the equations between the columns of one list."""
        claims = self.totals(reverse("claims"), "")
        if claims:
            assert claims["Claimed"] == (
                claims["Received"]
                + claims["Still open"]
                + claims["Closed unpaid"]
                - claims["Overpaid"]
            )
        for memo in CreditMemo.objects.filter(location__in=self.place):
            row = self.totals(reverse("memo", args=[memo.pk]), "")
            if row:
                assert row["For our crates"] - row["Expected"] == row["Difference"]

    def expect_pages(self):
        """Check the sums on the desk, on the balances and on each statement."""
        desk = self.browser.get(reverse("deposits")).context
        balances = self.browser.get(reverse("balances")).context
        kinds = ("with_us", "expected", "disputed")
        for totals in (desk["totals"], balances["totals"]):
            for kind, name in zip(OPEN_KINDS, kinds, strict=True):
                found = sum(getattr(one, name) for one in totals)
                assert found == account(kind)(self.place), name
            lost = account(*LOST)(self.place)
            assert sum(one.lost for one in totals) == lost
        aged = desk["ageing"]
        for kind, found in (
            (OPEN_KINDS[0], [b.cents for one in aged for b in one.here]),
            (OPEN_KINDS[1], [b.cents for one in aged for b in one.expected]),
            (OPEN_KINDS[2], [one.disputed_cents for one in aged]),
        ):
            assert sum(found) == account(kind)(self.place), kind


def expect_statement(location, supplier):
    """Check that the printed statement leads from its opening to what is open."""
    span = Span(date(2026, 1, 1), date(2026, 12, 31), "USD")
    paper = statement_of(location, supplier, span)
    ours = account(*OPEN_KINDS, account__supplier=supplier)([location])
    moved = [cents((row.more or "0").replace(",", "")) for row in paper.movements]
    left = [cents((row.less or "0").replace(",", "")) for row in paper.movements]
    opening, closing = (
        cents(text.replace(",", "")) for text in (paper.opening, paper.closing)
    )
    assert opening + sum(moved) - sum(left) == closing == ours
    listed = [cents(row.amount.replace(",", "")) for row in paper.deposits]
    assert sum(listed) == ours


BOOKS = int(os.environ.get("BOOKS") or cases(6, 40))
"""How many books are drawn; ``make test-books`` draws 200."""


@time_machine.travel(NOW, tick=False)
class TestGeneratedBooks(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def test_every_total_is_its_figure(self):
        moved = 0
        for seed in range(BOOKS):
            with self.subTest(seed=seed), transaction.atomic():
                book = Bookkeeper(seed, self.who).work()
                Reader(self.who.abel, [self.who.riverside]).expect_all()
                expect_statement(self.who.riverside, book.supplier)
                expect_books_in_order()
                moved += Leg.objects.exclude(entry__kind="charge").count()
                transaction.set_rollback(True)
        assert moved > 100, "The books drawn hold too little to prove anything."

    def test_every_list_that_is_taken_away_is_in_the_table(self):
        reader = Reader(self.who.abel, [self.who.riverside])
        named = {name for name, _query in TABLE} | WITHOUT_MONEY
        places = {"abel": ("see", "see-claims", "see-deposits", "see-mail")}
        for act in places["abel"]:
            for name in ADDRESSES.get(act, ()):
                answer = reader.browser.get(reverse(name), {"as": "csv"})
                is_file = answer["Content-Type"].startswith("text/csv")
                assert is_file == (name in named), name


@time_machine.travel(NOW, tick=False)
class TestTheDemo(TestCase):
    def test_every_total_is_its_figure_in_every_form(self):
        def small(kind, *, seed, taken, words="", size=None):
            return camera_jpeg(taken, seed)

        with patch("fixtures.teller.draw", small):
            made = tell_story(NOW)
        abel = User.objects.get(username="abel")
        reader = Reader(abel, [made.northgate])
        reader.expect_all(forms=("csv", "xlsx"))
        for supplier in made.suppliers.values():
            expect_statement(made.northgate, supplier)
        assert account("credits-expected")([made.northgate]) > 0


class TestSettledClaims(TestCase):
    """What a settled claim was not paid is open on no list."""

    def test_a_claim_settled_for_less_leaves_nothing_open(self):
        who = cast()
        claim = claim_it(who, set_stage(who))
        for act in ("send", "receive"):
            calls_of(claim)[act](step(who, claim))
        record_payment(
            claim=claim, received=Received(45_000, "check"), step=step(who, claim)
        )
        settle_claim(claim=claim, step=step(who, claim, reason="It pays no labor."))
        with time_machine.travel(NOW, tick=False):
            reader = Reader(who.abel, [who.riverside])
            totals = reader.totals(reverse("claims"), "")
            rows = reader.rows(reverse("claims"), "")
        # Parts 350.00 and two hours at 125.00 are 600.00; 450.00 came in.
        assert totals == {
            "Draft": 0,
            "Claimed": 60_000,
            "Received": 45_000,
            "Still open": 0,
            "Closed unpaid": 15_000,
            "Overpaid": 0,
        }
        assert rows[1][rows[0].index("Closed on")] == TODAY.isoformat()
