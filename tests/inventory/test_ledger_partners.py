"""An account and an entry are of one supplier or one carrier: by raw SQL, on both."""

import pytest
from django.db import IntegrityError, transaction

from inventory.actions.ledger.locks import book_key
from inventory.actions.ledger.posting import lines_of
from inventory.actions.ledger.reversals import reverse_entry, why_not_reverse
from inventory.models import Account, Carrier
from inventory.rules.crates import words
from inventory.rules.deposits.postings import Line
from tests.inventory.test_ledger_refusals import RefusalCase, key_of, run
from tests.ledger import AT, DAY, post

pytestmark = pytest.mark.database

ENTRY = (
    "INSERT INTO inventory_entry (id, kind, location_id, supplier_id, carrier_id,"
    " currency, effective_on, entered_at, entered_by_id, note, posting_key, body_hash,"
    " reverses_id) VALUES (%s, 'charge', %s, %s, %s, 'USD', '2026-03-10', %s, %s, '',"
    " %s, '', NULL)"
)
ACCOUNT = (
    "INSERT INTO inventory_account (location_id, supplier_id, carrier_id, kind,"
    " currency) VALUES (%s, %s, %s, 'claims-cash', 'USD')"
)
LINES = (Line("claims-receivable", 700), Line("claims-allowance", -700))


class PartnerCase(RefusalCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.carrier = cls.book.shipment.carrier
        cls.filed = post(
            cls.book, "claim-filed", LINES, supplier=None, carrier=cls.carrier
        )
        theirs = Account.objects.filter(carrier=cls.carrier)
        cls.open = theirs.get(kind="claims-receivable")
        cls.allowance = theirs.get(kind="claims-allowance")

    def seal_for(self, entry, supplier, carrier):
        keys = [one and one.pk for one in (supplier, carrier)]
        who = self.book.who.abel.pk
        run(
            ENTRY,
            [key_of(entry), self.book.location.pk, *keys, AT, who, str(entry)],
        )


class TestByTheDatabase(PartnerCase):
    def test_a_carriers_legs_are_sealed_by_its_entry(self):
        entry = self.legs((self.open, 500), (self.allowance, -500))

        self.seal_for(entry, None, self.carrier)

    def test_an_entry_of_nobody_is_refused_over_either_ones_legs(self):
        for one, other in (
            (self.open, self.allowance),
            (self.receivable, self.supplier_account),
        ):
            with self.refused("another location, partner"):
                entry = self.legs((one, 500), (other, -500))
                self.seal_for(entry, None, None)

    def test_an_entry_of_both_is_refused(self):
        with self.refused("another location, partner"):
            entry = self.legs((self.open, 500), (self.allowance, -500))
            self.seal_for(entry, self.book.supplier, self.carrier)

    def test_legs_of_a_supplier_and_of_a_carrier_are_never_one_entry(self):
        for partners in ((self.book.supplier, None), (None, self.carrier)):
            with self.refused("another location, partner"):
                entry = self.legs((self.open, 500), (self.receivable, -500))
                self.seal_for(entry, *partners)

    def test_an_entry_of_a_carrier_does_not_take_a_suppliers_deposit(self):
        with self.refused("another location, partner"):
            entry = self.legs(
                (self.open, 500), (self.allowance, -500), deposit=self.deposit.pk
            )
            self.seal_for(entry, None, self.carrier)

    def test_an_entry_of_another_carrier_is_refused(self):
        stranger = Carrier.objects.create(name="Pike Hollow Freight")
        with self.refused("another location, partner"):
            entry = self.legs((self.open, 500), (self.allowance, -500))
            self.seal_for(entry, None, stranger)

    def test_an_account_is_of_exactly_one(self):
        here = self.book.location.pk
        both = (self.book.supplier.pk, self.carrier.pk)
        for keys in ((None, None), both):
            with self.refused("account_one_partner"):
                run(ACCOUNT, [here, *keys])

    def test_a_second_account_of_the_same_is_refused_for_both_kinds(self):
        here = self.book.location.pk
        for keys in ((self.book.supplier.pk, None), (None, self.carrier.pk)):
            run(ACCOUNT, [here, *keys])
            with pytest.raises(IntegrityError), transaction.atomic():
                run(ACCOUNT, [here, *keys])

    def test_the_check_stands_without_the_triggers(self):
        constraints = {
            one.name
            for model in (Account, type(self.entry))
            for one in model._meta.constraints
        }
        assert {"account_one_partner", "entry_one_partner"} <= constraints


class TestByTheAction(PartnerCase):
    def test_a_book_of_a_carrier_has_a_number_of_its_own(self):
        carrier = Carrier(pk=self.book.supplier.pk, name="Of the same number")

        keys = {
            book_key(self.book.location, one, "USD")
            for one in (self.book.supplier, carrier)
        }
        assert len(keys) == 2

    def test_a_reversal_stays_in_the_carriers_book(self):
        undone = reverse_entry(
            entry=self.filed,
            effective_on=DAY,
            reason="A mistake",
            posting_key="undo",
            person=self.book.who.abel,
            at=AT,
        )

        assert undone.partner == self.carrier
        assert [line.cents for line in lines_of(undone)] == [-700, 700]

    def test_it_is_undone_where_it_came_from(self):
        assert "follows from another record" in why_not_reverse(self.filed)

    def test_accounts_are_registered_by_kind_of_partner(self):
        assert words.ACCOUNT_PARTNERS["claims-receivable"] == {"carrier"}
        for lines, who in (
            (LINES, {}),
            (
                (Line("deposits-receivable", 5), Line("claims-cash", -5)),
                {"supplier": None, "carrier": self.carrier},
            ),
        ):
            with pytest.raises(LookupError, match="is no account of a"):
                post(self.book, "claim-filed", lines, **who)

    def test_an_entry_of_nobody_is_a_mistake_of_the_code(self):
        with pytest.raises(LookupError, match="has no partner"):
            post(self.book, "claim-filed", LINES, supplier=None)
