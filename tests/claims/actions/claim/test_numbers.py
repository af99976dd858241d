"""The numbers of one dock's claims and returns: distinct, and running on."""

import pytest
from django.test import TestCase

from inventory.models import CrateReturn
from tests.claims.stage import claim_it, set_stage
from tests.making import make_claim
from tests.returning import AT, LEFT, begin, make_stage

pytestmark = pytest.mark.database


class TestNumbers(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=0)
        cls.people = cls.book.who
        cls.stage = set_stage(cls.people)

    def old_return(self, number):
        return CrateReturn.objects.create(
            currency="USD",
            location=self.book.location,
            supplier=self.book.supplier,
            number=number,
            made_at=AT,
            made_by=self.people.rosa,
        )

    def test_a_claim_and_a_return_of_one_dock_bear_different_numbers(self):
        claim, home = claim_it(self.people, self.stage), begin(self.book)
        assert (claim.number, home.number) == ("C-RIV-2026-0001", "R-RIV-2026-0001")

    def test_each_kind_runs_on_from_its_own_old_numbers(self):
        make_claim(number="RIV-2026-0004")
        old = self.old_return("RIV-2026-0007")

        assert claim_it(self.people, self.stage).number == "C-RIV-2026-0005"
        assert begin(self.book).number == "R-RIV-2026-0008"
        assert begin(self.book).number == "R-RIV-2026-0009"
        old.refresh_from_db()
        assert old.number == "RIV-2026-0007"

    def test_ten_thousand_numbers_a_year_do_not_stop_a_dock(self):
        self.old_return("R-RIV-2026-9999")
        assert begin(self.book).number == "R-RIV-2026-10000"
        assert begin(self.book).number == "R-RIV-2026-10001"

    def test_another_dock_and_another_year_count_for_themselves(self):
        self.old_return("RIV-2026-0007")
        other = begin(self.book, location=self.people.hillcrest)
        assert other.number == f"R-{self.people.hillcrest.code}-2026-0001"
        later = begin(self.book, today=LEFT.replace(year=2027))
        assert later.number == "R-RIV-2027-0001"
