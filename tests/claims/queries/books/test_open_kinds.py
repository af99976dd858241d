"""Which claims the database keeps as open in the books, and as not in them yet."""

import pytest
from django.db import connection
from django.test import TestCase

from claims.actions.books.opening import open_claims_in_books
from claims.actions.claim import endings
from claims.models import Claim
from inventory.derived import differences
from inventory.models import OpenWork
from tests.claims.booking import filed_claim, older_claim, pay, reopen
from tests.claims.stage import AT, TODAY, step
from tests.people import cast

pytestmark = pytest.mark.database


class OpenKindTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()

    def expect(self, claim, *whats):
        kinds = ("booked-claim", "unbooked-claim")
        assert [one for one in kinds if claim.pk in OpenWork.keys(one)] == [*whats]
        assert list(differences(connection)) == []

    def test_a_claim_of_before_until_it_is_brought_in(self):
        claim = older_claim(self.people)
        self.expect(claim, "unbooked-claim")
        open_claims_in_books(
            location=claim.location, on=TODAY, person=self.people.abel, at=AT
        )
        self.expect(claim, "booked-claim")
        Claim.objects.filter(pk=claim.pk).update(retired_at=AT)
        self.expect(claim)

    def test_a_booked_claim_until_it_is_closed_and_nothing_is_open(self):
        claim = filed_claim(self.people)
        self.expect(claim, "booked-claim")
        pay(self.people, claim, 20_000)
        self.expect(claim, "booked-claim")
        endings.give_up(claim=claim, step=step(self.people, claim))
        self.expect(claim)
        reopen(self.people, claim)
        self.expect(claim, "booked-claim")

    def test_a_closed_claim_of_which_something_stands_in_the_books(self):
        claim = filed_claim(self.people)
        Claim.objects.filter(pk=claim.pk).update(state="settled", closed_on=TODAY)
        self.expect(claim, "booked-claim")
