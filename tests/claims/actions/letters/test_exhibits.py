"""A confirmed statement is a document of the freight bill, once."""

import pytest
from django.db import transaction
from django.test import TestCase

from claims.actions.letters.exhibits import keep_as_exhibit
from claims.documents.letters import letter_pdf
from claims.models import ClaimLetter
from claims.queries.claim.proof import evidence_of
from claims.queries.packet.gathered import gather
from claims.rules.letters.content import LetterContent
from claims.rules.packet.content import Party
from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError
from inventory.models import Evidence
from inventory.rules.core.sent_documents import CLAIM_LETTER
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database


class ExhibitTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)

    def letter(self, kind="technician-statement"):
        return ClaimLetter.objects.create(
            claim=self.claim,
            kind=kind,
            number=1,
            addressee="The claim file",
            subject="Statement",
            text="I saw it.",
            content="{}",
            dated_on=TODAY,
            digest="a" * 64,
            confirmed_at=AT,
            confirmed_by=self.people.tomas,
        )

    def kept(self, row):
        here = Party("Riverside")
        words = LetterContent(here, here, "", (), "Statement", ("I saw it.",), "Tomas")
        document = store_document(letter_pdf(words))
        with transaction.atomic():
            begin_sending(document)
            keep_sent(
                document,
                about=row,
                kind=CLAIM_LETTER,
                location=self.claim.location,
                person=self.people.tomas,
                at=AT,
            )
            record_event(
                kind="letter.confirmed",
                at=AT,
                actor=self.people.tomas,
                location=self.claim.location,
                subjects=[row],
                data={"number": "C", "letter": 1, "kind": "statement", "sha": "a"},
            )
        return document

    def keep(self, row):
        return keep_as_exhibit(letter=row, person=self.people.tomas, at=AT)

    def test_the_statement_is_an_exhibit_with_the_bytes_that_were_confirmed(self):
        row = self.letter()
        document = self.kept(row)

        file = self.keep(row)

        self.assertEqual(file.original_id, document.sha256)
        self.assertEqual(file.kind, "statement")
        self.assertEqual(file.caption, "Technician's statement of Tomas Brandt")
        self.assertIn(file, evidence_of(self.stage.shipment))
        gathered = gather(self.claim, person=self.people.mina, as_of=TODAY)
        self.assertIn(file, gathered.files)

    def test_it_is_kept_once(self):
        row = self.letter()
        self.kept(row)

        self.assertEqual(self.keep(row), self.keep(row))
        self.assertEqual(Evidence.objects.filter(kind="statement").count(), 1)

    def test_a_letter_to_the_carrier_is_no_exhibit(self):
        row = self.letter("withdrawal")
        self.kept(row)

        self.assertIsNone(self.keep(row))
        self.assertFalse(Evidence.objects.exists())

    def test_without_its_bytes_it_says_what_to_do(self):
        with self.assertRaisesMessage(RefusedError, "add it to the freight bill"):
            self.keep(self.letter())
        self.assertFalse(Evidence.objects.exists())
