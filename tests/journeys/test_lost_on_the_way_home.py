"""A crate lost on the way home, over HTTP: from the truck that took it to the payment.

The last day to claim is checked against the uniform straight bill of lading of 2016,
sec. 3(b), as NMFC Item 300105-A has it (secondary source): a claim for loss not more than
nine months from the date of the bill of lading, not less than 49 U.S.C. 14706(e)(1)
allows. Calendar months by the corresponding date (Dodds v Walker [1981] UKHL).
"""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.test import TestCase
from django.urls import reverse

from claims.models import Claim, ClaimLine, Deadline
from claims.queries.core.payments import claim_money
from inventory.actions.core.versions import RefusedError
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.reversing import reverse_memo
from inventory.actions.memos.short_credits import accept_short
from inventory.actions.returns.arrival import receive_return
from inventory.models import CreditMemo, Entry, Evidence, Shipment, ShortCredit
from tests.returning import balances, decided, make_stage, memo_of, shipped

pytestmark = [pytest.mark.database, pytest.mark.slow]

NOON = datetime(2026, 4, 20, 16, 0, tzinfo=UTC)
CREDIT = 12_000
"""What the supplier's terms credit for one crate: 120.00, in full to day 90."""


class LostOnTheWayHome(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=3)
        cls.who = cls.book.who
        cls.home = shipped(
            cls.book, driver_name="Tom Reyes", driver_count=3, how_signed="signed"
        )
        cls.line = cls.home.lines.order_by("pk")[1]

    def page(self, name, *keys, by="mina", at=NOON, **query):
        with time_machine.travel(at, tick=False):
            self.client.force_login(getattr(self.who, by))
            return self.client.get(reverse(name, args=keys), query)

    def act(self, name, key, *, by="mina", at=NOON, **data):
        """Send the form of one page as its page has it; return the page it leads to."""
        self.client.force_login(getattr(self.who, by))
        with time_machine.travel(at, tick=False):
            address = reverse(name, args=[key])
            shown = self.client.get(address)
            assert shown.status_code == 200, shown.status_code
            form = shown.context["form"]
            sent = {
                name: value
                for name, value in form.initial.items()
                if name in form.fields and value is not None
            }
            if "once" in form.fields:
                sent["once"] = str(form.once_id)
            answer = self.client.post(address, {**sent, **data})
            said = answer.context and answer.context["form"].errors
            assert answer.status_code == 302, (name, said)
            return self.client.get(answer["Location"])

    def lose(self):
        return self.act(
            "lose_crate",
            self.line.pk,
            by="abel",
            lost_on="2026-04-20",
            reason="Supplier counted 2 of 3.",
        )

    def claim_it(self, **data):
        said = {f"take_{self.line.pk}": "on", "risk": "destination", "released": ""}
        self.act("claim_return", self.home.pk, **{**said, **data})
        return Claim.objects.get()

    def file(self, claim):
        for name, on, data in (
            ("send_claim", 21, {"how": "email"}),
            ("record_receipt", 22, {"words": "Signed for by J. Orr"}),
        ):
            claim.refresh_from_db()
            day = f"2026-04-{on}"
            self.act(name, claim.pk, at=NOON.replace(day=on), **{"on": day, **data})
        claim.refresh_from_db()

    def test_from_the_truck_home_to_the_payment(self):
        shown = self.page("crate_return", self.home.pk)
        self.assertNotContains(shown, "Claim it from the carrier")
        self.lose()
        shown = self.page("crate_return", self.home.pk)
        self.assertContains(shown, "Claim it from the carrier")
        # April 1, 2026 plus nine months is January 1, 2027, a holiday and a Friday: the
        # safe day is the business day before it.
        self.assertContains(shown, "Thu 31 Dec")
        self.assertNotContains(
            self.page("claims"), "Claim 1 crate lost on the way home"
        )
        desk = self.page("claims", at=datetime(2026, 12, 28, 16, tzinfo=UTC))
        self.assertContains(desk, "Claim 1 crate lost on the way home")
        self.assertContains(desk, reverse("claim_return", args=[self.home.pk]))
        last_week = datetime(2026, 12, 28, 16, tzinfo=UTC)
        desk = self.page("claims", by="abel", at=last_week)  # who may only see it
        self.assertContains(desk, reverse("crate_return", args=[self.home.pk]))
        claim = self.claim_it(pro_number="4411-208")

        bill = Shipment.everything.get(crate_return=self.home)
        assert claim.shipment == bill
        assert (bill.bol_number, str(bill.bol_on)) == (self.home.number, "2026-04-01")
        assert (bill.pieces_billed, bill.supplier) == (3, self.book.supplier)
        line = ClaimLine.objects.get()
        assert (line.worked_cents, line.outcome) == (CREDIT, "short")
        due = Deadline.objects.get(duty="claim", superseded_at=None)
        assert (due.due, due.safe) == (date(2027, 1, 1), date(2026, 12, 31))
        assert due.record_key == "us-motor/claim-loss"  # nothing is received yet
        assert not Deadline.objects.filter(duty__contains="notice").exists()
        kept = Evidence.objects.filter(shipment=bill)
        assert sorted(kept.values_list("kind", flat=True)) == ["other", "packing-list"]

        self.file(claim)
        met = Deadline.objects.get(duty="claim", superseded_at=None)
        assert met.met_on == date(2026, 4, 22)  # received, not sent on the 21st
        # In the supplier's book the crate stands as lost by a carrier, 120.00. Claimed,
        # it nets to nothing there (12,000 - 12,000) and is our loss; beside the books
        # stand 120.00 that the carrier has not agreed to.
        expected = {
            "supplier-account": -3 * CREDIT,
            "credits-expected": 2 * CREDIT,
            "carrier-losses": CREDIT,
            "crates-lost-claimed": -CREDIT,
            "freight-damage-loss": CREDIT,
            "claims-register": CREDIT,
            "claims-register-contra": -CREDIT,
        }
        assert balances() == expected

        self.act(
            "record_payment",
            claim.pk,
            by="abel",
            at=NOON.replace(month=5),
            on="2026-05-20",
            amount="120.00",
            method="check",
            reference="88120",
        )
        claim.refresh_from_db()
        later = NOON.replace(month=5)
        self.act("record_settlement", claim.pk, at=later, on="2026-05-20")
        claim.refresh_from_db()
        assert claim.state == "settled"
        assert claim_money(claim).balance_cents == 0
        # Money 120.00 against a loss of 120.00: what the way home cost is nothing.
        now = balances()
        assert now["claims-cash"] == CREDIT
        assert now["freight-damage-loss"] + now["claim-recoveries"] == 0
        assert now["carrier-losses"] + now["crates-lost-claimed"] == 0
        assert sum(now.values()) == 0

    def test_what_the_supplier_credits_after_all_comes_off(self):
        self.lose()
        claim = self.claim_it()
        self.file(claim)
        memo = memo_of(self.book, (self.line.crate, 5_000))
        post_memo(memo=memo, version=1, person=self.who.abel, at=NOON)
        shown = self.page("claim", claim.pk)
        self.assertContains(shown, "The supplier credited USD 50.00 after all")
        claim.refresh_from_db()
        shown = self.act("take_off_credits", claim.pk)
        self.assertNotContains(shown, "credited USD 50.00 after all (")
        # 120.00 - 50.00
        assert claim_money(Claim.objects.get()).claimed_cents == 7_000
        assert balances()["claims-register"] == 7_000

    def test_a_written_denial_starts_the_suit_of_the_bill_that_applies(self):
        self.lose()
        claim = self.claim_it(regime="us-motor-older")
        self.file(claim)
        self.act(
            "record_disallowance",
            claim.pk,
            at=NOON.replace(month=5, day=4),
            on="2026-05-04",
            part="whole",
            reason="Shipper's load and count.",
        )
        suit = Deadline.objects.get(duty="suit", superseded_at=None)
        # Two years and one day, as the bill before 2016 has it (sec. 3, text seen); not
        # less than two years from the written notice, 49 U.S.C. 14706(e)(1).
        assert suit.due == date(2028, 5, 5)
        assert suit.safe <= date(2028, 5, 4)

    def test_a_claimed_loss_is_not_undone(self):
        self.lose()
        claim = self.claim_it()
        shown = self.page("find_lost", self.line.pk, by="abel")
        self.assertContains(shown, f"in claim {claim.number}. Withdraw that claim")
        count = Entry.objects.count()
        self.client.force_login(self.who.abel)
        self.line.refresh_from_db()
        with time_machine.travel(NOON, tick=False):
            answer = self.client.post(
                reverse("find_lost", args=[self.line.pk]),
                {
                    "version": self.line.version,
                    "effective_on": "2026-04-20",
                    "reason": "Found at the terminal.",
                },
            )
        assert answer.status_code == 422
        assert Entry.objects.count() == count
        self.act("withdraw_claim", claim.pk, reason="Found at the terminal.")
        self.act(
            "find_lost",
            self.line.pk,
            by="abel",
            effective_on="2026-04-20",
            reason="Found at the terminal.",
        )
        assert balances()["credits-expected"] == 3 * CREDIT

    def test_the_bill_of_a_return_is_no_inbound_bill(self):
        self.lose()
        self.claim_it(pro_number="4411-208")
        bill = Shipment.everything.get(crate_return=self.home)
        assert bill not in Shipment.objects.all()
        shown = self.page("dock", by="rosa")
        self.assertNotContains(shown, "4411-208")
        self.assertNotContains(shown, reverse("edit_shipment", args=[bill.pk]))
        found = self.page("search", by="rosa", q="4411-208")
        assert "shipment" not in [one.name for one in found.context["sections"]]
        assert self.page("shipment", bill.pk).status_code == 302
        for name in ("edit_shipment", "make_claim", "crate_labels"):
            assert self.page(name, bill.pk).status_code == 404, name
        desk = self.page("claims")
        self.assertContains(desk, "4411-208")  # the claim itself, by its bill's number
        # The same PRO on an inbound bill of the same carrier is another bill.
        Shipment.objects.create(
            location=self.book.location,
            carrier=bill.carrier,
            pro_number="4411-208",
            currency="USD",
        )

    def test_a_crate_smashed_on_the_way_is_claimed_at_what_was_kept_back(self):
        receive_return(
            crate_return=self.home,
            version=self.home.version,
            received_on=date(2026, 4, 3),
            person=self.who.rosa,
            at=NOON,
        )
        hurt = self.home.lines.order_by("pk")[0]
        memo = memo_of(self.book, (hurt.crate, 8_000, "base damaged"))
        post_memo(memo=memo, version=1, person=self.who.abel, at=NOON)
        short = ShortCredit.objects.get(deposit=hurt.deposit)
        assert (short.cause, short.amount_cents) == ("missing-part", 4_000)
        shown = self.page("claim_return", self.home.pk)
        self.assertContains(shown, "is not decided. Accept that loss first")
        accept_short(short=short, version=short.version, decided=decided(self.book))
        charged = balances()["crate-charges"]
        assert charged == 4_000  # 120.00 - 80.00
        self.act(
            "claim_return",
            self.home.pk,
            **{f"take_{hurt.pk}": "on", "risk": "destination", "released": ""},
        )
        claim = Claim.objects.get()
        line = ClaimLine.objects.get()
        assert (line.outcome, line.worked_cents) == ("repair", 4_000)
        due = Deadline.objects.get(duty="claim", superseded_at=None)
        assert due.due == date(2027, 1, 3)  # nine months from delivery on April 3, 2026
        self.file(claim)
        now = balances()
        assert now["crate-charges"] == charged  # the loss is a cost already
        assert "freight-damage-loss" not in now
        assert now["claims-register"] == 4_000
        with pytest.raises(RefusedError, match=f"in claim {claim.number}. Withdraw"):
            reverse_memo(
                memo=memo,
                version=CreditMemo.objects.get().version,
                reason="Wrong memo.",
                reversed_on=date(2026, 4, 22),
                person=self.who.abel,
                at=NOON,
            )

    def test_the_supplier_who_bears_the_loss_is_named(self):
        self.lose()
        self.client.force_login(self.who.mina)
        address = reverse("claim_return", args=[self.home.pk])
        with time_machine.travel(NOON, tick=False):
            answer = self.client.post(
                address,
                {f"take_{self.line.pk}": "on", "risk": "origin", "regime": "us-motor"},
            )
        self.assertContains(answer, "the supplier bears the loss", status_code=422)
        assert not Claim.objects.exists()
