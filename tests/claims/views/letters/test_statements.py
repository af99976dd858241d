"""The technician's statement: their own page, their own words, an exhibit."""

import pytest
from django.test import TestCase

from claims.models import ClaimLetter
from inventory.models import Event, Evidence
from tests.claims.stage import claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database

OWN = "On March 16 I saw the deck shell: cracked, 12 cm, at the left hinge."


class StatementTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.stage.finding.recorded_by = cls.people.tomas
        cls.stage.finding.save()
        cls.claim = claim_it(cls.people, cls.stage)
        cls.page = f"/claims/{cls.claim.pk}/letters/technician-statement/"

    def preview(self, **over):
        typed = {"text": OWN, "present": "Sam Aldous", **over}
        return self.client.post(self.page, typed)

    def confirm(self, shown):
        form = shown.context["form"]
        fields = {name: form[name].value() for name in ("answers", "digest", "once")}
        return self.client.post(self.page, fields, follow=True)

    def test_the_technician_writes_confirms_and_it_is_an_exhibit(self):
        self.client.force_login(self.people.tomas)
        asked = self.client.get(self.page)
        self.assertContains(asked, "Deck shell cracked at the left hinge, 12 cm.")
        self.assertNotContains(asked, "Amount claimed")
        self.assertNotContains(asked, f'/claims/{self.claim.pk}/letters/"')

        done = self.confirm(self.preview())

        self.assertContains(done, "It is an exhibit of the claim file.")
        self.assertNotContains(done, "Record as sent")
        row = ClaimLetter.objects.get()
        self.assertIn(OWN, row.text)
        self.assertEqual(row.confirmed_by, self.people.tomas)
        kept = Evidence.objects.get(kind="statement")
        self.assertEqual(kept.shipment, self.stage.shipment)
        confirmed = Event.objects.get(kind="letter.confirmed")
        self.assertEqual(confirmed.data["sha"], row.digest)

    def test_a_cause_is_refused_and_the_words_stay(self):
        self.client.force_login(self.people.tomas)

        answer = self.preview(text=f"{OWN} The crate was dropped.")

        self.assertContains(answer, "was dropped", status_code=422)
        self.assertContains(answer, "not why", status_code=422)
        self.assertFalse(ClaimLetter.objects.exists())

    def test_nobody_else_writes_it(self):
        for person in (self.people.mina, self.people.rosa, self.people.abel):
            self.client.force_login(person)
            self.assertEqual(self.client.get(self.page).status_code, 403)
            self.assertEqual(self.preview().status_code, 403)
        self.client.force_login(self.people.nell)
        self.assertEqual(self.client.get(self.page).status_code, 404)

    def test_the_manager_reads_it_among_the_letters_without_a_link_to_write(self):
        self.stage.finding.recorded_by = self.people.mina
        self.stage.finding.save()
        self.client.force_login(self.people.mina)

        letters = self.client.get(f"/claims/{self.claim.pk}/letters/")

        self.assertContains(letters, "Technician&#x27;s statement")
        self.assertNotContains(letters, self.page)

    def test_their_own_finding_leads_to_it(self):
        finding = f"/findings/{self.stage.finding.pk}/"
        for person, leads in ((self.people.tomas, 1), (self.people.mina, 0)):
            self.client.force_login(person)
            page = self.client.get(finding).content.decode()
            self.assertEqual(page.count(self.page), leads, person)

    def test_the_suppliers_paper_is_mailed_to_the_supplier_to_sign(self):
        supplier = self.stage.shipment.supplier
        supplier.claims_email = "claims@harrow.example"
        supplier.name = "Harrow Works"
        supplier.save()
        self.client.force_login(self.people.mina)
        shown = self.client.get(f"/claims/{self.claim.pk}/letters/assignment/")

        self.page = f"/claims/{self.claim.pk}/letters/assignment/"
        done = self.confirm(shown)

        self.assertContains(done, '<strong id="mail-to">claims@harrow.example</strong>')
        self.assertContains(done, "<dd>Harrow Works, to sign and send back</dd>")
        listed = self.client.get(f"/claims/{self.claim.pk}/letters/")
        self.assertContains(listed, "to the supplier to sign")
        row = ClaimLetter.objects.get()
        mailing = self.client.get(f"/letters/{row.pk}/email/")
        self.assertContains(mailing, 'value="claims@harrow.example"')
        self.assertFalse(Evidence.objects.exists())
