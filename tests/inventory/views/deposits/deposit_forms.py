"""Forms as accounting fills them in."""

import uuid

from django.test import TestCase

from tests.ledger import make_book


class LedgerCase(TestCase):
    """Abel is signed in at Riverside."""

    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()

    def setUp(self):
        self.client.force_login(self.book.who.abel)

    def line(self, **over):
        values = {
            "once": str(uuid.uuid4()),
            "location": self.book.location.pk,
            "supplier": self.book.supplier.pk,
            "invoice_number": "inv 88",
            "line_number": "1",
            "invoiced_on": "2026-03-10",
            "booked_on": "",
            "crate_type": self.book.crate_type.pk,
            "count": "1",
            "amount_cents": "120.00",
            "currency": "",
            "marks": "",
            "crate": "",
        }
        return {**values, **over}

    def reason(self, **over):
        values = {
            "once": str(uuid.uuid4()),
            "effective_on": "2026-03-20",
            "reason": "The supplier took it off.",
        }
        return {**values, **over}
