"""No page, list or file adds amounts of two currencies, or shows one without its own.

The amounts of the house are multiples of 101 cents in US dollars and of 103 in Canadian
ones (tests/two_currencies.py), so a figure of both is found in the text of any page.
"""

import csv
import io
import re
from collections.abc import Iterator
from html import unescape
from itertools import chain

import pytest
import time_machine
from django.test import Client, TestCase
from django.urls import reverse
from pypdf import PdfReader

from inventory.models import Leg
from tests.house.access_table import LISTS, OBJECTS, SHARED
from tests.sizes import some_of
from tests.two_currencies import NOW, UNITS, make_house, rows_of

pytestmark = [pytest.mark.database, pytest.mark.slow]

SPAN = "first=2026-01-01&last=2026-06-01"

MOST_ROWS = 8
"""How many rows of a kind are opened at each of its addresses, in the whole form."""

FILTERED = [
    ("journal", SPAN),
    ("trial_balance", SPAN),
    ("books", "month=2026-03"),
    ("books", "month=2026-03&list=open"),
    ("claim_entries", "month=2026-03"),
    ("balances", "on=2026-04-15"),
    ("short_credits", "which=all"),
    ("suspense", "which=all"),
    ("returns", "which=all"),
]
"""Lists with their filters, beside each list as it opens."""

_NAMED = re.compile(
    r"(?P<dollar>\$)?(?:(?P<before>USD|CAD) )?"
    r"(?<![\d.])(?P<figure>\d[\d,]*\.\d\d)(?![\d.%])"
    r"(?: (?P<after>USD|CAD)\b)?"
)
_AMOUNT = re.compile(r"-?\d+\.\d\d")


def words_of(page):
    """Return the words of a page as people read them, without what it draws."""
    body = page.content.decode().split("<main", 1)[-1]
    body = re.sub(r"<(script|style|svg)\b.*?</\1>", " ", body, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


def words_of_pdf(page):
    """Return the words of a PDF, and the currencies that it names."""
    pages = PdfReader(io.BytesIO(page.getvalue())).pages
    words = " ".join(" ".join(one.extract_text() for one in pages).split())
    return words, [code for code in UNITS if re.search(rf"\b{code}\b", words)]


def crooked(words, table=None):
    """Return each figure that names no currency, or is of none or another than it says.

    ``table`` is the currency that a paper names once, over its columns.
    """
    found = []
    for one in _NAMED.finditer(words):
        code = "USD" if one["dollar"] else one["before"] or one["after"] or table
        if code is None or cents_of(one["figure"]) % UNITS[code]:
            found.append(words[max(0, one.start() - 60) : one.end() + 20])
    return found


def crooked_cells(text):
    """Return each amount of a file that is of none or another currency than its row's."""
    rows = list(csv.reader(io.StringIO(text)))
    place = rows[0].index("Currency") if "Currency" in rows[0] else None
    found = []
    for row in rows[1:]:
        total = re.fullmatch(r"Total (\w{3})", row[0])
        code = total[1] if total else row[place] if place is not None else ""
        found += [
            (heading, cell, row[0])
            for heading, cell in zip(rows[0], row, strict=True)
            if _AMOUNT.fullmatch(cell)
            and (code not in UNITS or cents_of(cell) % UNITS[code])
        ]
    return found


def cents_of(figure):
    """Return a figure of two digits after the point in cents."""
    return int(figure.replace(",", "").replace(".", ""))


class TestTwoCurrencies(TestCase):
    @classmethod
    def setUpTestData(cls):
        with time_machine.travel(NOW, tick=False):
            cls.house = make_house()

    def setUp(self):
        travel = time_machine.travel(NOW, tick=False)
        travel.start()
        self.addCleanup(travel.stop)
        self.browser = Client()
        self.browser.force_login(self.house.olga)

    def crooked_at(self, address):
        """Return what is crooked on the page of this address, and in its file."""
        page = self.browser.get(address)
        assert page.status_code in {200, 302, 404}, (address, page.status_code)
        kind = page["Content-Type"].partition(";")[0]
        if kind == "application/pdf":
            words, codes = words_of_pdf(page)
            table = codes[0] if len(codes) == 1 else None
            return crooked(words, table)
        if kind != "text/html":
            return []
        found = crooked(words_of(page))
        if b"as=csv" in page.content:
            sign = "&" if "?" in address else "?"
            file = self.browser.get(f"{address}{sign}as=csv")
            found += crooked_cells(b"".join(file).decode("utf-8-sig"))
        return found

    def expect_straight(self, addresses):
        bad = {one: found for one in addresses if (found := self.crooked_at(one))}
        assert bad == {}, "\n".join(f"{one}: {found[:3]}" for one, found in bad.items())

    def test_every_list(self):
        names = chain(*LISTS.values())
        # What a form for a file offers is a template with an example, no list.
        lists = [reverse(name) for name in names if not name.startswith("import_")]
        self.expect_straight(lists)
        self.expect_straight(f"{reverse(name)}?{query}" for name, query in FILTERED)

    def test_every_page_of_a_row(self):
        pages = [one for book in self.house.books for one in self.pages_of(book)]
        self.expect_straight(some_of(pages, 40, "pages of two currencies"))

    def pages_of(self, book) -> Iterator[str]:
        """Yield the address of each page of each row of the book."""
        rows = rows_of(book)
        for name, kind in chain(*OBJECTS.values(), *SHARED.values()):
            for keys in rows.get(kind, ())[:MOST_ROWS]:
                yield reverse(name, args=keys)
        pair = f"{book.location.pk}-{book.supplier.pk}"
        yield f"{reverse('plan_returns')}?pair={pair}&weeks=8&ready_days=3"
        kinds = Leg.objects.order_by().values_list("account__kind", flat=True)
        for kind in kinds.distinct():
            asked = f"kind={kind}&currency={book.code}&{SPAN}"
            yield f"{reverse('ledger_account')}?{asked}"


class TestTheCheck(TestCase):
    """What the check must find, and what it must let pass."""

    def test_a_sum_of_both_and_a_bare_figure_are_found(self):
        assert crooked("Open $121.20 and 123.60 CAD") == []
        assert crooked("Open $244.80") == ["Open $244.80"]
        assert crooked("Open 244.80 CAD") == ["Open 244.80 CAD"]
        assert crooked("Open 121.20") == ["Open 121.20"]
        assert crooked("Open 121.20, in USD", table="USD") == []
        sheet = "Crate,Open,Currency\nA,121.20,USD\nB,123.60,CAD\nTotal USD,244.80,\n"
        assert crooked_cells(sheet) == [("Open", "244.80", "Total USD")]
        assert crooked_cells("Crate,Open\nA,121.20\n") == [("Open", "121.20", "A")]
