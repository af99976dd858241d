"""Every kind of letter, in every state of a claim: its page opens, or says why not.

Each run tries each kind in one state; the whole form tries each in all of them.
"""

from urllib.parse import urlencode

import pytest
from django.test import TestCase
from django.urls import reverse

from claims.actions.claim.answers import Denial, record_disallowance, record_offer
from claims.actions.claim.steps import (
    record_acknowledgement,
    record_receipt,
    send_claim,
)
from claims.models import Claim, ClaimLetter
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.content import DRAFT
from inventory.rules.core.roles import ACTS
from tests import making
from tests.claims.acts import ask_nobody
from tests.claims.stage import claim_it, set_stage, step
from tests.house.access_rows import make_packet
from tests.people import cast
from tests.sizes import cases

pytestmark = pytest.mark.database


def sent(who, claim):
    send_claim(claim=claim, how="post", step=step(who, claim))


def received(who, claim):
    sent(who, claim)
    record_receipt(claim=claim, step=step(who, claim))


def acknowledged(who, claim):
    received(who, claim)
    record_acknowledgement(claim=claim, carrier_number="PW-88", step=step(who, claim))


def offered(who, claim):
    received(who, claim)
    record_offer(claim=claim, cents=10_000, step=step(who, claim))
    ask_nobody(claim, step(who, claim))


def disallowed(who, claim):
    received(who, claim)
    record_disallowance(
        claim=claim, step=step(who, claim), denial=Denial(with_offer=False)
    )


def drafted(_who, _claim):
    """Leave the claim as it was made."""


STATES = (drafted, sent, received, acknowledged, offered, disallowed)


class TestEveryKind(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.stage = set_stage(cls.who)

    def claim(self, claimant="us"):
        Claim.objects.update(state="withdrawn", withdrawn_reason="Tried.")
        claim = claim_it(self.who, set_stage(self.who), claimant=claimant)
        for kind in ("receipt", "bill-of-lading", "supplier-invoice"):
            making.make_evidence(shipment=claim.shipment, kind=kind)
        make_packet(claim, self.who.mina)
        return claim

    @pytest.mark.slow
    def test_in_every_state_it_is_written_or_says_why_not(self):
        written = set()
        for turn, bring in enumerate(STATES):
            claim = self.claim()
            bring(self.who, claim)
            written |= self.try_each(
                claim, cases(list(KINDS)[turn :: len(STATES)], KINDS)
            )
        written |= self.try_each(self.claim("supplier"), cases(["cover"], KINDS))
        assert cases({"cover"}, {"cover", "tracer", "documents"}) <= written

    def try_each(self, claim, keys):
        """Open the page of each kind, preview it with what it offers, confirm it."""
        written = set()
        for key in keys:
            kind = KINDS[key]
            with self.subTest(claim=claim.state, kind=key):
                may = "manager" in ACTS[kind.role]
                self.client.force_login(self.who.mina if may else self.who.tomas)
                if self.confirmed(claim, key):
                    written.add(key)
        return written

    def confirmed(self, claim, key):
        url = reverse("write_claim_letter", args=[claim.pk, key])
        page = self.client.get(url)
        assert page.status_code == 200
        if page.context["refusal"]:
            return False
        if "letter" not in page.context:
            page = self.client.post(
                url,
                urlencode(offers(page.context["form"]), True),
                "application/x-www-form-urlencoded",
            )
            assert page.status_code in {200, 422}
        if page.status_code == 422 or "letter" not in page.context:
            assert page.context["form"].errors
            return False
        form = page.context["form"]
        seen = {name: form[name].value() for name in ("answers", "digest", "once")}
        draft = self.client.post(
            reverse("claim_letter_draft", args=[claim.pk, key]), seen
        )
        assert draft.content.startswith(b"%PDF")
        answer = self.client.post(url, seen)
        assert answer.status_code == 302
        letter = ClaimLetter.objects.get(claim=claim, kind=key)
        assert (
            self.client.get(reverse("claim_letter", args=[letter.pk])).status_code
            == 200
        )
        assert DRAFT not in letter.text
        assert letter.kind_words == KINDS[key].name
        return True


def offers(form):
    """Return what the form shows filled in, and the first of each choice."""
    typed = {}
    for field in form:
        value = field.value()
        choices = [one for one, _label in getattr(field.field, "choices", ()) if one]
        if value in (None, "", [], ()) and choices:
            value = choices[:1]
        typed[field.html_name] = value if value not in (None, False) else ""
    return typed
