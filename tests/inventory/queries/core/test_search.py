"""Search finds what Python's ``in`` finds, where the person may see it, page by page."""

import re
from random import Random
from unittest import mock

import pytest
from django.db import connection
from django.test import TestCase
from django.urls import reverse

from inventory.models import CrateReturn, CreditMemo, SearchKey
from inventory.queries.core import search
from inventory.queries.core.search import Place, find, place_of
from inventory.searched import KEYS, SEARCH_KINDS, SLOTS
from tests.making import (
    ARRIVED,
    make_claim,
    make_crate,
    make_delivery,
    make_shipment,
    make_supplier,
    make_unit,
    some_person,
)
from tests.people import cast
from tests.sizes import SEED, cases

pytestmark = pytest.mark.database

_BETWEEN = ("", "", "", "-", " ", "/", ".", "_", "--", " - ", "\N{EN DASH}")
KINDS = ("shipment", "machine", "crate", "truck", "return", "memo", "claim")


def plain(text):
    """Return the number without what stands between: the standard library's own way."""
    return re.sub(r"[\W_]", "", text).upper()


def spelled(dice, letters):
    """Return the letters with drawn separators between them, in drawn cases."""
    out = "".join(
        dice.choice((str.upper, str.lower))(one) + dice.choice(_BETWEEN)
        for one in letters
    )
    return out.rstrip("-/._ \N{EN DASH}")


def paged(person, typed, kind, most=3):
    """Return the keys of every page, one after another."""
    keys, after = [], None
    while True:
        found = find(person, typed, [kind], most=most, after=after)[kind]
        keys += found.keys
        if found.after is None:
            return keys
        after = place_of(str(found.after))
        assert after == found.after


def made(location):
    return {
        "location": location,
        "supplier": make_supplier(),
        "currency": "USD",
        "made_at": ARRIVED,
        "made_by": some_person(),
    }


def make_memo(number, location):
    days = dict.fromkeys(("dated_on", "received_on"), ARRIVED.date())
    return CreditMemo.objects.create(number=number, **days, **made(location))


def make_return(number, authorization, location):
    return CrateReturn.objects.create(
        number=number, authorization=authorization, **made(location)
    )


class TestAgainstAPlainScan(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.dice = Random(SEED)
        bills = [
            make_shipment(location=cls.who.riverside, pro_number=f"77{number}")
            for number in range(2)
        ]
        cls.numbers = {}
        for _ in range(60):
            mark, code = (
                spelled(cls.dice, cls.dice.choices("AB12", k=cls.dice.randint(2, 9)))
                for _ in range(2)
            )
            crate = make_crate(cls.dice.choice(bills), mark=mark, supplier_code=code)
            cls.numbers[crate.pk] = (plain(mark), plain(code))

    def wanted(self, part):
        """Return the rows by a plain scan, in the order that a page promises."""
        begin, within = [], []
        for key, texts in self.numbers.items():
            first = [text for text in texts if text.startswith(part)]
            if first:
                begin.append((min(first), -key))
            elif len(part) > 2 and any(part in text for text in texts):
                within.append(-key)
        return [-key for _, key in sorted(begin)] + [-key for key in sorted(within)]

    @pytest.mark.slow
    def test_every_part_finds_the_same_rows_in_the_same_order(self):
        hits = 0
        for _ in range(cases(60, 250)):
            part = plain("".join(self.dice.choices("AB12", k=self.dice.randint(1, 5))))
            typed = spelled(self.dice, part)
            wanted = self.wanted(part)
            hits += len(wanted)
            assert paged(self.who.rosa, typed, "crate") == wanted, typed
        assert hits > 200

    def test_letters_beyond_ascii_are_found_in_both_cases(self):
        bill = make_shipment(location=self.who.riverside)
        mark = make_crate(bill, mark="Ä1-Öß 77")
        code = make_crate(bill, supplier_code="KÄ 1/Ö77")
        for typed, rows in (
            ("Ä1", [mark]),
            ("ä-1Ö", [code, mark]),
            ("öß77", [mark]),
            ("1 ÖSS 7", [mark]),
            ("kä1", [code]),
        ):
            found = paged(self.who.rosa, typed, "crate")
            assert sorted(found) == sorted(row.pk for row in rows), typed

    def test_nothing_but_separators_finds_nothing(self):
        for typed in ("", "-", " / ", "%", '"', "\N{EN DASH}"):
            assert find(self.who.rosa, typed, KINDS, most=5)["crate"].keys == [], typed


class TestWhatIsFound(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.bill = make_shipment(
            location=cls.who.riverside, pro_number="778-204 11", bol_number="B/LX-5521"
        )
        cls.there = make_shipment(location=cls.who.hillcrest, pro_number="778.2049")

    def found(self, person, typed):
        found = find(person, typed, KINDS, most=9)
        return {name: one.keys for name, one in found.items() if one.keys}

    def test_each_kind_by_a_part_of_each_of_its_numbers(self):
        here = {"location": self.who.riverside}
        unit = make_unit(self.bill, serial="TX-48 001.7", engine_serial="ENG/3090")
        truck = make_delivery(
            trailer_number="TRL 53-118", seal_number="SL-40.77", **here
        )
        home = make_return(number="R-2026-0991", authorization="RMA 5/620", **here)
        memo = make_memo(number="CM/88-1204", **here)
        claim = make_claim(
            self.bill, number="C-2026-9317", carrier_claim_number="pw-7714a"
        )
        for typed, kind, row in (
            ("PRO 778-204 11", "shipment", self.bill),
            ("x55", "shipment", self.bill),
            ("8001", "machine", unit),
            ("g-30-90", "machine", unit),
            ("l53 11", "truck", truck),
            ("407", "truck", truck),
            ("60991", "return", home),
            ("a5.62", "return", home),
            ("m8812", "memo", memo),
            ("69317", "claim", claim),
            ("W 7714A", "claim", claim),
        ):
            assert self.found(self.who.mina, typed) == {kind: [row.pk]}, typed

    def test_nobody_finds_what_is_elsewhere_or_not_for_their_role(self):
        memo = make_memo(number="CM-778204", location=self.who.riverside)
        claim = make_claim(self.bill, number="C-778204")
        seen = {"shipment": [self.bill.pk]}
        assert self.found(self.who.rosa, "778204") == seen
        assert self.found(self.who.mina, "778204") == {
            **seen,
            "memo": [memo.pk],
            "claim": [claim.pk],
        }
        assert self.found(self.who.nell, "778204") == {"shipment": [self.there.pk]}
        assert self.found(self.who.nell, "77820411") == {}

    def test_more_of_one_kind_is_on_a_page_of_its_own(self):
        for number in range(30):
            make_crate(self.bill, mark=f"Q-{number:02}-77X")
        self.client.force_login(self.who.rosa)
        first = self.client.get(reverse("search"), {"q": "77X"}).context["sections"][0]
        assert (first.name, len(first.rows)) == ("crate", 25)
        more = self.client.get(reverse("search") + first.more)
        (rest,) = more.context["sections"]
        assert (rest.name, len(rest.rows), rest.more) == ("crate", 5, "")
        assert not {row.pk for row, _ in rest.rows} & {row.pk for row, _ in first.rows}
        odd = self.client.get(reverse("search") + "?q=77X&kind=crate&after=p9.x%00'")
        assert odd.status_code == 200

    def test_a_place_that_no_page_gave_is_none(self):
        assert place_of("b7.AB-C") == Place(is_part=False, text="AB-C", older=-7)
        for told in ("", "b", "x7.A", "p-1.", "b99999999999999.A", "p٧."):
            assert place_of(told) is None, told


class TestPlan(TestCase):
    """The index finds the rows; neither table is read through.

    Among a thousand keys with figures about them: of a handful PostgreSQL reads by
    whichever index comes first, and what it knows of them hangs on who looked last.
    """

    def plans(self, typed):
        who, told = cast(), []
        kind, place = SEARCH_KINDS["crate"], who.riverside.pk
        SearchKey.objects.bulk_create(
            SearchKey(
                id=kind.first(place) + key * SLOTS,
                kind=kind.number,
                location_id=place,
                key=key,
                text=f"{key * 7919:010}",
            )
            for key in range(1, 1001)
        )

        def explained(execute, sql, *more):
            params, many, context = more
            if KEYS in sql and sql.lstrip().startswith("SELECT * FROM ("):
                word = (
                    "EXPLAIN QUERY PLAN" if connection.vendor == "sqlite" else "EXPLAIN"
                )
                execute(f"{word} {sql}", params, many, context)
                told.append("\n".join(str(row) for row in context["cursor"].fetchall()))
            return execute(sql, *more)

        with connection.cursor() as cursor:
            if connection.vendor == "postgresql":  # a small table is read at once
                cursor.execute(f"ANALYZE {KEYS}")
                cursor.execute("SET LOCAL enable_seqscan = off")
        with (
            mock.patch.object(search, "_has_part", return_value=True),
            connection.execute_wrapper(explained),
        ):
            find(who.rosa, typed, ["crate"], most=5)
        return told

    def test_beginnings_and_parts_are_read_by_an_index(self):
        begin, parts = self.plans("48N1")
        assert "search_begins" in begin
        if connection.vendor == "sqlite":
            assert "VIRTUAL TABLE INDEX" in parts
            assert "SCAN k" not in begin + parts
        else:
            assert "Seq Scan" not in begin + parts
            assert "searchkey_pkey" in parts  # the newest ones
            assert "One-Time Filter" in parts  # and all others only where they lack
            assert "search_parts" in parts

    def test_parts_anywhere_are_read_by_the_trigrams(self):
        make_crate(make_shipment(), grai="00614141123452400")
        rows = SearchKey.objects.filter(text__contains="14141123")
        assert (
            len(search.keys_with_part("crate", ["14141123"], most=5))
            == rows.count()
            == 1
        )
