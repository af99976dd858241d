"""The claims desk: what is to do and by whom, the open claims, and what a filter hides."""

from datetime import date, timedelta
from types import SimpleNamespace
from urllib.parse import urlencode

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from claims.actions.claim import steps as claim_steps
from claims.actions.claim.answers import record_offer
from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim
from claims.queries.claim.gaps import missing_keys
from claims.queries.claim.page import claim_page
from claims.queries.desk.todo import crate_words
from claims.rules.claim.todo import Who
from inventory.models import Assignment, Evidence
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, second_finding, set_stage, step
from tests.claims.views.claim.test_claims import PageCase
from tests.house.access_rows import make_deadline
from tests.people import make_person

pytestmark = pytest.mark.database


class DeskCase(PageCase):
    def desk(self, **asked):
        return self.client.get(f"{self.url('claims')}?{urlencode(asked)}")

    def todos(self, answer):
        return [one for one, _ in answer.context["acts"].object_list]

    def late_elsewhere(self):
        """Make a bill of another carrier whose notice of concealed damage is late."""
        other = set_stage(self.people)
        other.shipment.carrier = making.make_carrier()
        other.shipment.save()
        making.make_finding(crate=other.crate, unit=other.unit, could_be_seen=False)
        days = {"due": TODAY - timedelta(2), "safe": TODAY - timedelta(3)}
        make_deadline(
            other.shipment, delivery=other.delivery, owed_by="claimant", **days
        )
        return other


class TodayTests(DeskCase):
    def test_each_act_names_its_person_its_money_and_its_page(self):
        closed = making.make_crate(self.stage.shipment, delivery=self.stage.delivery)
        making.make_unit(crate=closed, model="Oxbow Loader 18", invoice_cents=250_000)
        count_deadlines(shipment=self.stage.shipment, at=AT, person=self.people.mina)

        answer = self.desk()

        by_label = {one.label: one for one in self.todos(answer)}
        opening = by_label[f"Open crate {closed.number}, inspect"]
        notice = by_label["Send the notice of concealed damage"]
        assert (opening.who.words, opening.unopened_cents) == ("Tomas", 250_000)
        assert opening.why == "Oxbow Loader 18"
        assert opening.claim_cents == 0
        assert (notice.who.words, notice.claim_cents) == ("You", 60_000)
        self.assertContains(
            answer,
            self.url("write_notice", self.stage.shipment.pk, "concealed"),
        )
        self.assertContains(answer, "claim money at risk by Mon 23 Mar")
        self.assertContains(answer, "$600.00")
        self.assertContains(answer, "value in unopened crates")

    def test_the_next_act_of_a_claim_stands_in_it_with_its_last_day(self):
        self.receive()
        by_day = TODAY + timedelta(5)
        record_offer(
            claim=self.claim,
            cents=40_000,
            by_day=by_day,
            step=step(self.people, self.claim),
        )

        answer = self.desk()

        [offer] = [one for one in self.todos(answer) if one.claim == self.claim.pk]
        assert offer.label == "Answer the offer of $400.00"
        assert (offer.when, offer.ref) == ("5 days left", self.claim.number)
        self.assertContains(answer, "Answer the offer of $400.00 by Sat 21 Mar")

    def test_ten_stand_open_and_the_rest_is_folded_with_its_count(self):
        for _ in range(12):
            self.late_elsewhere()

        answer = self.desk()

        due = answer.context["due_count"]
        assert due >= 13
        assert len(answer.context["first"]) == 10
        self.assertContains(answer, f"<summary>{due - 10} more</summary>")

    def test_two_managers_share_what_nobody_has_and_a_claim_is_its_makers(self):
        riverside = self.people.riverside
        otto = make_person("otto", "Otto Reyes", (riverside, "manager"))
        self.late_elsewhere()
        self.receive()
        offer = step(self.people, self.claim)
        record_offer(claim=self.claim, cents=40_000, step=offer)

        def whose():
            todos = self.todos(self.desk())
            claims = {one.who for one in todos if one.claim}
            return claims, {one.who for one in todos if not one.claim}

        shared = {Who("Manager", is_mine=True)}
        assert whose() == ({Who("You", is_mine=True)}, shared)
        self.client.force_login(otto)
        assert whose() == ({Who("Mina", is_mine=False)}, shared)
        make_person("mina2", "Mina Stone", (riverside, "clerk"))
        assert whose() == ({Who("Mina Okoro", is_mine=False)}, shared)
        Assignment.objects.filter(person=self.people.mina).update(role="accounting")
        assert whose() == ({Who("You", is_mine=True)},) * 2

    def test_accounting_reads_it_and_is_led_to_no_act(self):
        self.late_elsewhere()
        self.client.force_login(self.people.abel)

        answer = self.desk()

        self.assertContains(answer, "Send the notice of concealed damage")
        self.assertNotContains(answer, "/notice/")
        self.assertNotContains(answer, "Make a claim")
        assert answer.context["mine_count"] == 0
        self.client.force_login(self.people.rosa)
        assert self.desk().status_code == 403

    def test_the_other_location_sees_nothing_of_it(self):
        self.client.force_login(self.people.nell)

        answer = self.desk()

        self.assertNotContains(answer, "C-RIV-2026-0001")
        self.assertContains(answer, "Nothing to do within 7 days.")


class TableTests(DeskCase):
    def test_what_must_move_first_stands_first(self):
        other = set_stage(self.people)
        first = claim_it(self.people, other)
        claim_steps.send_claim(claim=first, how="email", step=step(self.people, first))
        first.refresh_from_db()
        claim_steps.record_receipt(claim=first, step=step(self.people, first))

        rows = self.desk().context["page"].object_list

        assert [one.row.claim.pk for one in rows] == [first.pk, self.claim.pk]

    def test_it_lacks_the_same_documents_as_on_the_claims_own_page(self):
        for kind in ("bill-of-lading", "receipt", "damage"):
            making.make_evidence(shipment=self.stage.shipment, kind=kind)
        making.make_evidence(delivery=self.stage.delivery, kind="packing-list")
        claim = Claim.objects.select_related(
            "shipment__carrier", "shipment__supplier", "location"
        ).get()

        missing = missing_keys([claim])[claim.pk]

        page = claim_page(claim, TODAY)
        assert missing == {one.key for one in page.proof.missing}
        assert Evidence.objects.count() == 4

    def test_a_closed_state_lists_the_closed_claims(self):
        Claim.objects.update(
            state="withdrawn", withdrawn_on=TODAY, withdrawn_reason="Found it."
        )

        assert not self.desk().context["page"].object_list
        [one] = self.desk(state="withdrawn").context["page"].object_list
        assert one.row.claim == self.claim
        assert "Withdrawn" in self.desk().content.decode().split('id="ended"')[1]

    def test_a_fold_shows_a_few_and_leads_to_all(self):
        for _ in range(9):
            set_stage(self.people)

        few, whole = self.desk(), self.desk(all="found")

        assert few.context["found"].count == 9
        assert len(few.context["found"].shown) == 8
        self.assertContains(few, "1 more freight bill</a>")
        self.assertContains(few, 'href="?all=found#found"')
        assert len(whole.context["found"].shown) == 9
        self.assertContains(whole, '<details id="found" open>')

    def test_findings_wait_to_be_claimed_or_to_be_a_supplement(self):
        second_finding(self.stage)
        second_finding(self.stage, cause="our-handling")
        other = set_stage(self.people)

        answer = self.desk()

        self.assertContains(answer, "Add to claim C-RIV-2026-0001")
        self.assertContains(answer, self.url("make_claim", other.shipment.pk))
        self.assertContains(answer, "Needs your answer")


class NarrowTests(DeskCase):
    def test_overdue_is_never_hidden_without_saying_so(self):
        other = self.late_elsewhere()
        mine = self.stage.shipment.carrier_id

        both, one = self.desk(), self.desk(carrier=mine)

        late = both.context["late_count"]
        assert late >= 1
        self.assertContains(one, f"{late - one.context['late_count']} late not shown.")
        self.assertNotContains(both, "not shown")
        assert other.shipment.pro_number not in {todo.ref for todo in self.todos(one)}

    def test_it_stays_in_the_address_and_in_the_links(self):
        carrier = self.stage.shipment.carrier_id

        answer = self.desk(carrier=carrier, who="mine", state="drafted")

        self.assertContains(answer, f'value="{carrier}" selected')
        self.assertContains(answer, 'value="drafted" selected')
        self.assertContains(
            answer, f"carrier={carrier}&amp;who=mine&amp;state=drafted&amp;as=csv"
        )

    def test_an_empty_filter_says_so_and_leads_back(self):
        answer = self.desk(state="countered")

        self.assertContains(answer, "No claim fits this filter.")
        self.assertContains(answer, "under this filter.")
        self.assertContains(answer, f'<a href="{self.url("claims")}">Show everything')

    def test_what_it_does_not_offer_counts_for_nothing(self):
        for asked in (
            {"carrier": "9" * 40},
            {"carrier": "\x00"},
            {"state": "moon", "location": "-1"},
            {"who": "everybody", "acts": "x"},
        ):
            answer = self.desk(**asked)

            assert answer.status_code == 200
            assert not answer.context["narrow"].narrows

    def test_mine_leaves_out_what_is_somebody_elses(self):
        crate = making.make_crate(self.stage.shipment, delivery=self.stage.delivery)
        making.make_unit(crate=crate)
        count_deadlines(shipment=self.stage.shipment, at=AT, person=self.people.mina)

        everyone, mine = self.todos(self.desk()), self.todos(self.desk(who="mine"))

        assert any(one.label.startswith("Open") for one in everyone)
        assert {one.who.words for one in mine} == {"You"}

    def test_the_file_holds_what_the_page_shows(self):
        words = self.desk(state="countered", **{"as": "csv"}).content.decode()

        assert self.claim.number not in words


class CostTests(DeskCase):
    def many(self, count):
        for _ in range(count):
            shipment = making.make_shipment(location=self.people.riverside)
            claim = making.make_claim(
                shipment, made_by=self.people.mina, state="acknowledged"
            )
            making.make_claim_line(claim)
            make_deadline(
                shipment,
                claim=claim,
                duty="suit",
                owed_by="claimant",
                starts_on=date(2026, 3, 1),
                due=TODAY + timedelta(6),
                safe=TODAY + timedelta(4),
            )

    def queries(self):
        with CaptureQueriesContext(connection) as seen:
            answer = self.desk()
        return len(seen), answer

    @pytest.mark.slow
    def test_questions_do_not_grow_with_claims(self):
        self.many(1)
        self.queries()
        few, _ = self.queries()
        self.many(6)

        many, answer = self.queries()

        assert answer.context["claim_count"] == 8
        assert many == few

    @pytest.mark.slow
    def test_four_hundred_open_claims_make_a_small_page(self):
        self.many(400)

        queries, answer = self.queries()

        assert answer.context["claim_count"] == 401
        assert len(answer.context["page"].object_list) == 25
        assert len(answer.content) < 100_000, len(answer.content)
        assert queries < 60


class ClosedPageTests(DeskCase):
    def test_a_settled_claim_shouts_nothing_and_no_clock_runs(self):
        self.receive()
        making.make_claim_payment(self.claim, cents=60_000, on=TODAY)
        self.claim.refresh_from_db()
        self.post("record_settlement", self.claim.pk, on="2026-03-16", note="Paid.")
        self.claim.refresh_from_db()
        assert self.claim.state == "settled"
        for duty, owed_by in (("disposition", "carrier"), ("suit", "claimant")):
            make_deadline(
                self.stage.shipment,
                claim=self.claim,
                duty=duty,
                owed_by=owed_by,
                starts_on=date(2026, 3, 1),
                due=TODAY - timedelta(2),
                safe=TODAY - timedelta(3),
            )

        text = self.client.get(self.url("claim", self.claim.pk)).content.decode()
        body = text[text.index("<main") : text.index("</main>")]

        assert "Settled. Nothing to do." in body
        for alarm in ("late", "missing", "running", "refused"):
            assert f'class="state {alarm}"' not in body
            assert f"notice {alarm}" not in body
        assert "M10 1 19.5 18.5H.5z" not in body  # the warning mark
        assert 'class="cells' not in body
        assert "days left" not in body
        assert "to the safe day" not in body
        assert "Other deadlines" not in body
        assert "No deadline is running." in body


def test_an_act_names_few_crates_and_counts_many():
    def unopened(*numbers):
        return [SimpleNamespace(crate=SimpleNamespace(number=one)) for one in numbers]

    assert crate_words(unopened(3)) == "crate 3"
    assert crate_words(unopened(1, 2, 5)) == "crates 1, 2 and 5"
    assert crate_words(unopened(*range(1, 40))) == "39 crates"
