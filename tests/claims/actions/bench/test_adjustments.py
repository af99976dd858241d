"""An adjustment at setup makes no notice and no claim, until it proves to be damage."""

import itertools
from datetime import date

import pytest

from claims.actions.bench.findings import change_finding
from claims.models import Deadline, Finding
from claims.queries.bench.findings import finding_page, findings_joined
from claims.queries.core.unclaimed import is_payable, payable, why_not
from claims.queries.deadlines.bills import read_bill, trucks_of
from claims.queries.letters.notices import notice_facts
from claims.rules.bench.causes import ADJUSTABLE
from claims.rules.core.vocabulary import CAUSES, DAMAGE_KINDS, ROUTES
from inventory.actions.core.versions import RefusedError
from tests import making
from tests.claims.actions.bench.test_bench_acts import AT, BenchCase, words

pytestmark = pytest.mark.database

TODAY = date(2026, 3, 12)
ADJUSTED = {"cause": "adjustment", "facts": "Left tip 1/4 in low as found."}


class AdjustmentTests(BenchCase):
    def found(self, **over):
        told = words(**{"damage_kind": "loose", **ADJUSTED, **over})
        return self.find(words=told, stage="set-up")

    def letter(self, kind):
        facts = notice_facts(
            kind=kind,
            shipment=self.shipment,
            delivery=self.truck,
            person=self.people.mina,
            today=TODAY,
        )
        return facts.findings

    def test_nothing_is_filed_and_nothing_is_claimed(self):
        for kind in ADJUSTABLE:
            with self.subTest(kind):
                row = self.found(damage_kind=kind)
                page = finding_page(findings_joined().get(pk=row.pk))
                assert page.routing.filings == ()
                assert page.routing.first == "set-up"
                assert not page.claimable.allowed
                assert "setup adjustment" in why_not(page.finding)

    def test_it_is_in_no_letter_and_meets_no_deadline(self):
        self.found()
        assert self.letter("concealed") == self.letter("supplier") == ()
        truck = trucks_of(read_bill(self.shipment, TODAY))[0]
        assert truck.findings == []
        assert not Deadline.objects.filter(duty="supplier-defect").exists()

    def test_while_it_is_not_decided_the_clock_runs(self):
        self.found(cause="unknown", damage_kind="bent")
        assert len(self.letter("concealed")) == 1
        duties = set(Deadline.objects.values_list("duty", flat=True))
        assert "concealed-notice" in duties

    def test_it_becomes_damage_with_its_first_reading_intact(self):
        row = self.found()
        told = words(damage_kind="bent", cause="transit", facts=row.facts)
        row = change_finding(
            person=self.people.tomas,
            at=AT,
            finding=row,
            version=row.version,
            words=told,
        )
        assert row.facts == ADJUSTED["facts"]
        assert len(self.letter("concealed")) == 1
        assert why_not(Finding.objects.select_related("shipment").get(pk=row.pk)) == ""

    def test_what_is_broken_is_no_adjustment(self):
        for kind in DAMAGE_KINDS.keys() - ADJUSTABLE:
            with self.subTest(kind), pytest.raises(RefusedError, match="no adjustment"):
                self.found(damage_kind=kind)
        assert not Finding.objects.exists()

    def test_a_finding_does_not_become_an_adjustment_while_it_is_bent(self):
        row = self.found(damage_kind="bent", cause="unknown")
        with pytest.raises(RefusedError, match="Nothing was saved"):
            change_finding(
                person=self.people.tomas,
                at=AT,
                finding=row,
                version=row.version,
                words=words(damage_kind="bent", cause="adjustment"),
            )

    def test_the_rows_kept_are_those_that_the_rule_keeps(self):
        made = making.make_inspection(unit=self.unit)
        for cause, route in itertools.product(CAUSES, ["", *ROUTES]):
            making.make_finding(made, cause=cause, route=route, route_reason="Said so.")
        rows = Finding.objects.all()
        kept = set(payable(rows))
        assert kept == {row for row in rows if is_payable(row)}
        assert {(row.cause, row.route) for row in kept} >= {
            ("adjustment", "carrier"),
            ("our-handling", ""),
            ("unknown", ""),
        }
        assert not {row.cause for row in kept if not row.route} & {"adjustment"}
