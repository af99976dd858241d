"""An open offer on the claim's page, the questions before a release, and the costs."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.html import escape

from claims.actions.claim import answers, endings
from claims.actions.claim.costs import enter_costs
from claims.actions.claim.making import Pick, make_claim, supplement_claim
from claims.actions.claim.overlap import answer_overlap
from claims.actions.claim.payments import Received, decide_payment, record_payment
from claims.models import Claim, ClaimLetter, ClaimLine, GoingOnCost, OverlapAnswer
from claims.queries.claim.offers import judged_of, past_claims
from claims.queries.claim.page import claim_page
from claims.rules.claim.offer_facts import Costs
from claims.rules.letters import overlap as rules
from inventory.actions.core.versions import RefusedError
from inventory.models import Event
from tests import making
from tests.claims.acts import ask_nobody
from tests.claims.stage import AT, TODAY, second_finding, step
from tests.claims.views.claim.test_claims import PageCase

pytestmark = pytest.mark.database

NOBODY = {"insurer": "no", "supplier": "no"}


class OfferCase(PageCase):
    def prepare_once(self):
        self.receive()
        self.offer(30_000)

    def offer(self, cents):
        now = step(self.people, self.claim)
        answers.record_offer(claim=self.claim, cents=cents, step=now)
        self.claim.refresh_from_db()

    def answer(self, *said, **more):
        now = step(self.people, self.claim)
        given = rules.OverlapAnswer(*said, **more)
        return answer_overlap(claim=self.claim, said=given, step=now)

    def accept(self, cents=30_000, claim=None):
        claim = claim or self.claim
        now = step(self.people, claim)
        return answers.accept_offer(claim=claim, cents=cents, step=now)

    def page(self):
        return self.client.get(self.url("claim", self.claim.pk))

    def letter(self, kind):
        return self.url("write_claim_letter", self.claim.pk, kind)

    def confirm(self, cents="300.00"):
        """Preview the acceptance of line 1 and confirm it."""
        day = (TODAY + timedelta(days=30)).isoformat()
        typed = {"line_1": cents, "answer_by": day}
        seen = self.client.post(self.letter("acceptance"), typed)
        if seen.status_code != 200:
            return seen
        form = seen.context["form"]
        sent = {name: form[name].value() for name in ("answers", "digest", "once")}
        return self.client.post(self.letter("acceptance"), sent)


class PanelTests(OfferCase):
    def test_the_offer_is_judged_on_the_claims_page(self):
        # One line: a shell at 350.00 and two hours at 125.00 are 600.00.
        making.make_going_on_cost(self.people.riverside)
        page = self.page()
        for words in (
            "What each way leaves",
            "$300.00 of $600.00",
            "0 claims in 24 months, and fewer than 5 say nothing",
            "within small claims, $6,500.00",
            "Offer came on day 0; 120 is the period for an answer",
            "Not entered: time value, months to a decision.",
            # 300.00 offered and 165.00 of costs.
            "Going on leaves as much as accepting once $465.00 of $600.00 comes.",
        ):
            self.assertContains(page, escape(words))

    def test_the_three_acts_lead_to_their_letters(self):
        page = self.page()
        for kind in ("acceptance", "counter-offer", "refusal"):
            self.assertContains(page, f'<a class="btn" href="{self.letter(kind)}">')

    def test_accounting_sees_the_figures_and_no_acts(self):
        self.client.force_login(self.people.abel)
        page = self.page()
        self.assertContains(page, "Judge it by")
        self.assertNotContains(page, self.letter("acceptance"))

    def test_without_an_open_offer_there_is_no_panel(self):
        answers.record_refusal(
            claim=self.claim, step=step(self.people, self.claim, reason="Too little.")
        )
        self.assertNotContains(self.page(), "Judge it by")

    def test_a_claims_own_costs_come_before_its_locations(self):
        making.make_going_on_cost(self.people.riverside)
        own = making.make_going_on_cost(
            self.people.riverside, claim=self.claim, filing_cents=12_300
        )
        making.make_going_on_cost(self.people.riverside)
        making.make_going_on_cost(self.people.riverside, currency="CAD")
        judged = self.judged()
        assert judged.costs == own
        assert judged.offer.rows["cost"].figure == "$193.00"

    def test_another_locations_costs_are_not_taken(self):
        making.make_going_on_cost(self.people.hillcrest)
        assert self.judged().costs is None

    def judged(self):
        claim = Claim.objects.select_related("shipment__location", "location").get(
            pk=self.claim.pk
        )
        return judged_of(claim_page(claim, TODAY), TODAY)


class PastTests(OfferCase):
    def ended(self, *, paid, days=30, state="settled", **over):
        shipment = making.make_shipment(
            location=self.people.riverside, carrier=self.stage.shipment.carrier
        )
        claim = making.make_claim(
            shipment, state=state, closed_on=TODAY - timedelta(days=days), **over
        )
        making.make_claim_line(claim, worked_cents=10_000)
        if paid:
            making.make_claim_payment(claim, cents=paid)
        return claim

    def found(self):
        return sorted(one.paid_cents for one in past_claims(self.claim, TODAY))

    def test_ended_claims_on_this_carrier_count_with_or_without_money(self):
        self.ended(paid=8_100)
        self.ended(paid=0, state="not-pursued")
        assert self.found() == [0, 8_100]

    def test_others_do_not_count(self):
        self.ended(paid=1, days=800)
        self.ended(paid=2, state="accepted")
        self.ended(paid=3, claimant="supplier")
        self.ended(paid=4, state="withdrawn", withdrawn_reason="Ours.")
        other = self.ended(paid=5)
        other.shipment.carrier = making.make_carrier()
        other.shipment.save()
        assert self.found() == []

    def test_a_claim_from_before_payments_were_rows_counts_by_its_day(self):
        self.ended(paid=7_000)
        Claim.objects.filter(state="settled").update(
            closed_on=None, settled_on=TODAY - timedelta(days=1)
        )
        assert self.found() == [7_000]

    def test_the_middle_share_is_on_the_page(self):
        for paid in (5_000, 6_000, 7_000, 8_000, 9_000):
            self.ended(paid=paid)
        # 70 percent of 600.00 is 420.00.
        self.assertContains(
            self.page(), "5 claims in 24 months; $420.00 on this balance"
        )

    def test_the_page_asks_as_much_with_many_claims_as_with_one(self):
        url = self.url("claim", self.claim.pk)

        def queries():
            with CaptureQueriesContext(connection) as found:
                self.client.get(url)
            return len(found)

        def one_more():
            self.ended(paid=5_000)
            making.make_claim_line(
                making.make_claim(self.stage.shipment), unit=self.stage.unit
            )
            making.make_overlap_answer(self.claim)
            making.make_going_on_cost(self.people.riverside)

        one_more()
        queries()
        with_one = queries()
        for _ in range(4):
            one_more()
        assert queries() == with_one


class AskedTests(OfferCase):
    def test_accepting_asks_first_and_comes_back_to_the_letter(self):
        self.assertContains(self.page(), escape(rules.ASK))
        answer = self.client.get(self.letter("acceptance"))
        self.assertRedirects(answer, self.url("ask_overlap", self.claim.pk))
        answer = self.client.post(self.url("ask_overlap", self.claim.pk), NOBODY)
        self.assertRedirects(answer, self.letter("acceptance"))
        row = OverlapAnswer.objects.get()
        assert (row.claim, row.answered_by) == (self.claim, self.people.mina)
        event = Event.objects.get(kind="claim.overlap")
        assert event.data["insurer"] == "no insurer was notified"
        assert self.confirm().status_code == 302

    def test_a_letter_sent_past_the_question_is_refused(self):
        answer = self.confirm()
        self.assertContains(answer, escape(rules.ASK), status_code=422)
        assert not ClaimLetter.objects.exists()

    def test_a_later_offer_is_asked_about_again(self):
        self.answer()
        now = step(self.people, self.claim, at=AT + timedelta(hours=1))
        answers.record_offer(claim=self.claim, cents=31_000, step=now)
        with self.assertRaisesMessage(RefusedError, rules.ASK):
            self.accept()

    def test_a_later_supplement_is_asked_about_again(self):
        self.answer()
        pick = Pick(second_finding(self.stage, repair_minutes=60), "total")
        now = step(self.people, self.claim, at=AT + timedelta(hours=1))
        supplement_claim(claim=self.claim, picks=[pick], step=now)
        with self.assertRaisesMessage(RefusedError, rules.ASK):
            self.accept()

    def test_an_insurer_that_paid_must_be_named_as_holding_the_right(self):
        paid = {**NOBODY, "insurer": "paid"}
        url = self.url("ask_overlap", self.claim.pk)
        answer = self.client.post(url, paid)
        self.assertContains(answer, "Enter the insurer&#x27;s name.", status_code=422)
        self.assertContains(answer, "Enter what the insurer paid.", status_code=422)
        paid |= {"insurer_name": "Harbor Mutual", "insurer_paid": "200.00"}
        page = self.client.post(url, paid, follow=True)
        self.assertContains(page, "is not named as holding the right")
        self.assertContains(page, "Ask counsel")
        with self.assertRaisesMessage(RefusedError, "Ask counsel"):
            self.accept()
        self.client.post(url, paid | {"holds_right": "on"})
        assert self.confirm().status_code == 302
        assert "Harbor Mutual has paid USD 200.00" in ClaimLetter.objects.get().text

    def test_what_is_left_out_of_an_answer_is_not_kept(self):
        typed = {**NOBODY, "insurer_name": "Harbor", "insurer_paid": "1.00"}
        typed |= {"holds_right": "on", "supplier_credited": "9.00"}
        self.client.post(self.url("ask_overlap", self.claim.pk), typed)
        row = OverlapAnswer.objects.get()
        assert (row.insurer_name, row.insurer_cents, row.supplier_cents) == ("", 0, 0)
        assert not row.holds_right

    def test_what_is_known_is_shown_with_the_question(self):
        ClaimLine.objects.update(recovered_cents=2_500)
        making.make_claim_letter(
            self.claim, kind="hand-over", addressee="Halden Mowers"
        )
        other = making.make_claim(self.stage.shipment, state="sent", sent_on=TODAY)
        making.make_claim_line(other, unit=self.stage.unit, label="Seat: torn")
        page = self.client.get(self.url("ask_overlap", self.claim.pk))
        self.assertContains(page, "USD 25.00 recovered on the lines")
        self.assertContains(page, "to Halden Mowers.")
        self.assertContains(page, f"Claim {other.number}, Sent, no proof of delivery")
        self.assertContains(page, "the same machine, Seat: torn.")

    def test_a_closed_claim_is_not_asked(self):
        self.answer()
        now = step(self.people, self.claim, reason="Too small.")
        endings.give_up(claim=self.claim, step=now)
        page = self.client.get(self.url("ask_overlap", self.claim.pk))
        self.assertContains(page, "The claim is closed.")
        with self.assertRaisesMessage(RefusedError, "The claim is closed."):
            self.answer()


class ReleasedOnceTests(OfferCase):
    def test_the_same_line_is_accepted_once(self):
        self.answer()
        assert self.confirm("100.00").status_code == 302
        again = self.confirm("100.00")
        self.assertContains(
            again, "Line 1 was already accepted in letter 1", status_code=422
        )
        self.assertContains(again, "Drop that letter first", status_code=422)
        assert ClaimLetter.objects.count() == 1

    def test_a_dropped_acceptance_frees_its_line(self):
        self.answer()
        self.confirm("100.00")
        ClaimLetter.objects.update(dropped_on=TODAY, dropped_reason="Typed wrong.")
        assert self.confirm("100.00").status_code == 302

    def test_a_denial_after_it_frees_the_line(self):
        self.answer()
        self.confirm("100.00")
        now = step(self.people, self.claim, at=AT + timedelta(hours=5))
        answers.record_disallowance(claim=self.claim, step=now, denial=answers.Denial())
        now = step(self.people, self.claim, at=AT + timedelta(hours=6))
        answers.record_offer(claim=self.claim, cents=20_000, step=now)
        ask_nobody(
            self.claim, step(self.people, self.claim, at=AT + timedelta(hours=7))
        )
        assert self.confirm("100.00").status_code == 302

    def test_an_agreement_above_the_loss_is_refused(self):
        self.answer()
        with self.assertRaisesMessage(RefusedError, "The most is USD 600.00."):
            self.accept(60_001)
        self.accept(60_000)

    def test_an_agreement_leaves_out_what_the_supplier_credited(self):
        self.answer("no", supplier_cents=10_000)
        with self.assertRaisesMessage(RefusedError, "The most is USD 500.00."):
            self.accept(50_001)
        self.accept(50_000)

    def test_an_agreement_leaves_out_what_was_paid(self):
        self.answer()
        record_payment(
            claim=self.claim,
            received=Received(10_000, "check", "Check 1"),
            step=step(self.people, self.claim),
        )
        with self.assertRaisesMessage(RefusedError, "USD 100.00 paid by the carrier"):
            self.accept(50_001)

    def test_a_payment_taken_as_full_releases_too(self):
        now = step(self.people, self.claim)
        paid = record_payment(
            claim=self.claim,
            received=Received(10_000, "check", "Check 1", in_full=True),
            step=now,
        )

        def take():
            now = step(self.people, self.claim)
            decide_payment(payment=paid, choice="full", step=now)

        self.answer("paid", "Harbor Mutual", 10_000)
        with self.assertRaisesMessage(RefusedError, "Ask counsel"):
            take()
        self.answer("paid", "Harbor Mutual", 10_000, holds_right=True)
        take()
        self.claim.refresh_from_db()
        assert self.claim.state == "settled"

    def test_another_claim_in_hand_on_the_same_damage_stops_a_release(self):
        twin = making.make_finding(
            crate=self.stage.crate, unit=self.stage.unit, repair_minutes=60
        )
        assert twin.part == self.stage.finding.part
        other = make_claim(
            shipment=self.stage.shipment,
            picks=[Pick(twin, "repair")],
            claimant="supplier",
            basis="invoice",
            person=self.people.mina,
            at=AT,
            today=TODAY,
        )
        self.answer()
        words = f"{other.number} covers the same finding"
        with self.assertRaisesMessage(RefusedError, words):
            self.accept()
        self.assertContains(self.page(), words)
        page = self.client.get(self.letter("acceptance"))
        self.assertContains(page, words)
        self.assertContains(page, "Not now.")
        now = step(self.people, other, reason="Twice.")
        endings.withdraw_claim(claim=other, step=now)
        self.accept()

    def test_the_page_of_the_agreement_says_what_stands_against_it(self):
        url = self.url("accept_offer", self.claim.pk)
        ask = self.url("ask_overlap", self.claim.pk) + "?then=agree"
        self.assertRedirects(self.client.get(url), ask)
        self.assertRedirects(self.client.post(ask, NOBODY), url)
        data = {"version": self.claim.version, "on": TODAY.isoformat()}
        above = self.client.post(url, data | {"amount": "600.01"})
        self.assertContains(above, "The most is USD 600.00.", status_code=422)
        self.answer("paid", "Harbor Mutual", 10_000)
        self.assertContains(self.client.get(url), "Ask counsel")


class RefusalTests(OfferCase):
    def test_a_refusal_leaves_the_claim_as_it_was_before_the_offer(self):
        url = self.url("refuse_offer", self.claim.pk)
        data = {"version": self.claim.version, "on": TODAY.isoformat()}
        answer = self.client.post(url, data | {"note": "Labor is left out."})
        self.assertRedirects(answer, self.url("claim", self.claim.pk))
        self.claim.refresh_from_db()
        assert self.claim.state == "received"
        assert Event.objects.filter(kind="claim.refused").count() == 1

    def test_an_acknowledged_claim_is_acknowledged_again_and_a_declined_one_declined(
        self,
    ):
        for field, state in (
            ("acknowledged_on", "acknowledged"),
            ("disallowed_on", "disallowed"),
        ):
            Claim.objects.update(state="offered", **{field: TODAY})
            self.claim.refresh_from_db()
            answers.record_refusal(claim=self.claim, step=step(self.people, self.claim))
            self.claim.refresh_from_db()
            assert self.claim.state == state

    def test_its_letter_opens_a_preview(self):
        day = (TODAY + timedelta(days=30)).isoformat()
        typed = {"why": "Labor is left out", "answer_by": day}
        seen = self.client.post(self.letter("refusal"), typed)
        self.assertContains(seen, "do not accept it")
        self.assertContains(seen, "Confirm the letter")
        assert not ClaimLetter.objects.exists()


class CostTests(OfferCase):
    TYPED = {
        "limit": "6,500.00",
        "limit_source": "Small claims page of the court, Mar 3",
        "filing": "95.00",
        "serving": "70.00",
        "lawyer": "",
        "percent": "4.5",
        "months": "9",
    }

    def test_a_location_s_costs_are_saved_and_told(self):
        url = self.url("costs_here", self.people.riverside.pk)
        self.assertRedirects(self.client.post(url, self.TYPED), self.url("claims"))
        row = GoingOnCost.objects.get()
        assert (row.limit_cents, row.filing_cents, row.serving_cents) == (
            650_000,
            9_500,
            7_000,
        )
        assert (row.lawyer_cents, row.yearly_percent, row.months, row.claim) == (
            None,
            Decimal("4.50"),
            9,
            None,
        )
        event = Event.objects.get(kind="claim.costs-here")
        assert event.data["costs"] == (
            "filing $95.00, serving $70.00, small-claims limit $6,500.00 (Small claims page "
            "of the court, Mar 3), time value 4.50% a year, months to a decision 9"
        )
        self.assertContains(self.client.get(url), 'value="6,500.00"')

    def test_a_claim_s_own_figures_start_from_its_locations(self):
        making.make_going_on_cost(self.people.riverside)
        url = self.url("claim_costs", self.claim.pk)
        self.assertContains(self.client.get(url), 'value="95.00"')
        answer = self.client.post(url, {"filing": "120.00"})
        self.assertRedirects(answer, self.url("claim", self.claim.pk))
        assert GoingOnCost.objects.get(claim=self.claim).filing_cents == 12_000
        assert Event.objects.filter(kind="claim.costs").count() == 1

    def test_a_limit_without_its_source_and_nothing_at_all_are_refused(self):
        url = self.url("costs_here", self.people.riverside.pk)
        bare = self.TYPED | {"limit_source": ""}
        self.assertContains(
            self.client.post(url, bare),
            "Enter the source of the limit",
            status_code=422,
        )
        self.assertContains(
            self.client.post(url, {"limit_source": "The court"}),
            "Enter at least one figure. Nothing was saved.",
            status_code=422,
        )
        assert not GoingOnCost.objects.exists()

    def test_only_the_manager_enters_costs(self):
        self.client.force_login(self.people.abel)
        url = self.url("costs_here", self.people.riverside.pk)
        assert self.client.get(url).status_code == 403
        assert self.client.post(url, self.TYPED).status_code == 403

    def test_costs_without_anything_can_be_kept_by_the_action(self):
        row = enter_costs(
            location=self.people.riverside,
            claim=None,
            costs=Costs(),
            person=self.people.mina,
            at=AT,
        )
        assert row.limit_cents is None
        assert Event.objects.get(kind="claim.costs-here").data["costs"] == "nothing"


class AgainTests(PageCase):
    def test_a_second_claim_on_a_finding_asks_and_records(self):
        self.send()
        now = step(self.people, self.claim)
        endings.withdraw_claim(claim=self.claim, step=now)
        url = self.url("make_claim", self.stage.shipment.pk)
        now = step(self.people, self.claim)
        endings.tell_withdrawal(claim=self.claim, how="email", step=now)
        self.assertContains(self.client.get(url), "Was an insurer notified")
        typed = {
            "take_1": "on",
            "outcome_1": "repair",
            "claimant": "supplier",
            "basis": "invoice",
        }
        answer = self.client.post(url, typed)
        self.assertContains(answer, "Choose one.", status_code=422)
        answer = self.client.post(url, typed | {"insurer": "told", "supplier": "no"})
        self.assertContains(answer, "Enter the insurer&#x27;s name.", status_code=422)
        told = {"insurer": "told", "insurer_name": "Harbor Mutual", "supplier": "no"}
        assert self.client.post(url, typed | told).status_code == 302
        second = Claim.objects.exclude(pk=self.claim.pk).get()
        assert second.overlap_answers.get().insurer_name == "Harbor Mutual"

    def test_a_first_claim_asks_nothing(self):
        making.make_finding(crate=self.stage.crate, unit=self.stage.unit, part="seat")
        page = self.client.get(self.url("make_claim", self.stage.shipment.pk))
        self.assertNotContains(page, "Was an insurer notified")
