"""A memo reads only what its lines can touch, and decides as if it had read the book."""

from random import Random

import pytest
from django.test import TestCase

from inventory.models import Crate, Deposit
from inventory.queries.memos import awaited
from inventory.rules.memos.matching import Line, left_out
from tests import making
from tests.bench.growing import GrowingHouse
from tests.sizes import SEED, cases

pytestmark = pytest.mark.database


def sscc(number):
    """Return an SSCC with its check digit (GS1 General Specifications, 7.9)."""
    digits = f"10614141{number:09}"
    total = sum(
        int(one) * (3 if place % 2 == 0 else 1)
        for place, one in enumerate(reversed(digits))
    )
    return f"{digits}{-total % 10}"


def whole(memo):
    """Return the whole book, as it was read before."""
    rows = Deposit.objects.filter(
        location=memo.location,
        supplier=memo.supplier,
        currency=memo.currency,
        is_withdrawn=False,
    )
    return [awaited._awaited(row) for row in awaited._joined(rows)]


class TestAgainstTheWholeBook(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.memo = GrowingHouse().story.memo
        dice, deposits = Random(SEED), list(Deposit.objects.all())
        crates = Crate.objects.filter(deposits__in=deposits).distinct()
        for number, crate in enumerate(crates):
            gs1 = {
                0: {"grai": f"00614141123452{number:02}"},
                1: {"sscc": sscc(number)},
                2: {"supplier_code": f"SC-{number}/7"},
            }.get(number % 4, {})
            Crate.objects.filter(pk=crate.pk).update(**gs1)
        resting = [row for row in deposits if row.crate and row.crate.state == "full"]
        for pair in range(6):
            kept = "mark" if pair % 3 == 2 else "count"
            kind = making.make_crate_type(
                resting[0].supplier, name=f"Type {pair}", kept_by=kept
            )
            first, second = resting[2 * pair : 2 * pair + 2]
            on = Deposit.objects.filter(pk__in=(first.pk, second.pk))
            on.update(crate_type=kind)
            if pair % 3 == 1:  # its credit is settled
                Crate.objects.filter(pk=second.crate_id).update(state="credited")
        deposits = list(Deposit.objects.select_related("crate_type"))
        types = {row.crate_type for row in deposits}
        for kind in dice.sample(sorted(types, key=lambda one: one.pk), len(types) // 2):
            type(kind).objects.filter(pk=kind.pk).update(kept_by="count")
        cls.texts = ["", "NOBODYS", "/"]
        for crate in Crate.objects.filter(deposits__in=deposits).distinct():
            cls.texts += [crate.mark, crate.mark.lower(), f"-{crate.supplier_code}"]
            cls.texts += [f"(8003){crate.grai}", f"(00){crate.sscc}"]
            cls.texts += [f"https://id.gs1.org/8003/{crate.grai}", crate.mark[:4]]
        Deposit.objects.filter(pk=deposits[0].pk).update(mark=cls.texts[8])
        cls.types = [text for one in types for text in (one.name, one.code, "")]
        cls.dice = dice

    def drawn(self):
        count = self.dice.randint(1, 12)
        return [
            Line(
                place,
                self.dice.choice((12_000, 9_000, 15_000)),
                self.dice.choice(("", self.dice.choice(self.texts))),
                self.dice.choice((*self.types, "No such")),
                "",
            )
            for place in range(1, count + 1)
        ]

    @pytest.mark.slow
    def test_the_same_results_and_the_same_left_out(self):
        book = {row.key: row for row in whole(self.memo)}
        seen = set()
        for _ in range(cases(60, 300)):
            lines = self.drawn()
            few = awaited.pool_of(self.memo, lines)
            assert [book[row.key] for row in few] == few
            wanted, found = (
                awaited.fates_of(lines, pool, self.memo.currency)
                for pool in (list(book.values()), few)
            )
            assert found == wanted
            assert left_out(found, few) == left_out(wanted, book.values())
            seen |= {fate.fate for fate in found if fate.key or fate.fate != "not-ours"}
        assert len(seen) >= 2, seen
        assert len(few) < len(book)
