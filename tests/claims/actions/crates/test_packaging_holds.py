"""A transit finding keeps the packaging; the carrier's word or photos let it go."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import TestCase

from claims.actions.bench.findings import change_finding, record_finding
from claims.actions.bench.holds import release_hold
from claims.actions.bench.inspections import Subject
from claims.actions.bench.words import FindingWords
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.crates.packaging import (
    ask_about_hold,
    hold_packaging,
    release_packaging,
    stop_supplier_clock,
)
from inventory.models import Event, Hold, PackagingHold
from inventory.rules.crates.packaging import NEEDED
from tests import making
from tests.people import cast

pytestmark = pytest.mark.database

AT = datetime(2026, 3, 12, 15, 0, tzinfo=UTC)
DAY = date(2026, 3, 12)


class Holds(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        delivery = making.make_signed_delivery(location=cls.who.riverside)
        cls.shipment = making.make_shipment(
            location=cls.who.riverside, carrier=delivery.carrier
        )
        making.make_handover(delivery, cls.shipment)
        cls.crate = making.make_reusable(cls.shipment, delivery=delivery)
        cls.unit = making.make_unit(cls.shipment, crate=cls.crate)
        cls.other = making.make_unit(cls.shipment, crate=cls.crate)

    def find(self, cause="transit", unit=None):
        return record_finding(
            person=self.who.tomas,
            at=AT,
            subject=Subject(self.shipment, unit=unit or self.unit),
            stage="uncrating",
            words=FindingWords(
                damage_kind="cracked",
                severity="severe",
                facts="Deck shell cracked at the hinge.",
                part="Deck shell",
                cause=cause,
            ),
            crate_condition="sound",
        )

    def standing(self):
        return PackagingHold.objects.filter(crate=self.crate, released_at=None).first()

    def paper(self, kind, **over):
        return making.make_evidence(shipment=self.shipment, kind=kind, **over)

    def release(self, how, **over):
        hold = self.standing()
        return release_packaging(
            person=self.who.mina,
            at=AT,
            hold=hold,
            how=how,
            **{"version": hold.version, "reason": "By their e-mail.", **over},
        )


class TestPlacing(Holds):
    def test_a_transit_finding_holds_the_crate_of_its_machine(self):
        self.find()
        hold = self.standing()
        assert hold.placed_on == DAY
        kinds = Event.objects.values_list("kind", flat=True)
        assert list(kinds).count("packaging.held") == 1

    def test_a_second_finding_finds_the_hold_that_stands(self):
        self.find()
        self.find(unit=self.other)
        assert PackagingHold.objects.count() == 1

    def test_another_cause_holds_nothing(self):
        self.find(cause="our-handling")
        assert self.standing() is None

    def test_a_cause_changed_to_transit_holds_it(self):
        finding = self.find(cause="unknown")
        assert self.standing() is None
        finding.refresh_from_db()
        change_finding(
            person=self.who.tomas,
            at=AT,
            finding=finding,
            version=finding.version,
            words=FindingWords(
                damage_kind="cracked",
                severity="severe",
                facts=finding.facts,
                part=finding.part,
                cause="transit",
            ),
        )
        assert self.standing() is not None

    def test_a_crate_that_is_gone_is_not_held(self):
        for over in ({"state": "shipped"}, {"look": "refused", "state": ""}):
            gone = making.make_reusable(self.shipment, **over)
            assert hold_packaging(crate=gone, person=self.who.tomas, at=AT) is None
        spent = making.make_crate(self.shipment, disposal="landfill")
        assert hold_packaging(crate=spent, person=self.who.tomas, at=AT) is None


class TestReleasing(Holds):
    def setUp(self):
        self.find()

    def test_the_carriers_report_lets_it_go(self):
        with pytest.raises(RefusedError, match="inspection report is missing"):
            self.release("inspected")
        self.paper("inspection-report", crate=self.crate)
        hold = self.release("inspected")
        assert (hold.released_on, hold.released_how) == (DAY, "inspected")
        assert self.standing() is None

    def test_a_waiver_of_another_crate_does_not_count(self):
        elsewhere = making.make_reusable(self.shipment)
        self.paper("inspection-waiver", crate=elsewhere)
        with pytest.raises(RefusedError, match="written waiver is missing"):
            self.release("waived")
        self.paper("inspection-waiver")
        self.release("waived")
        assert self.standing() is None

    def test_the_manager_needs_photos_of_all_of_it(self):
        for need in NEEDED:
            with pytest.raises(RefusedError, match="Photos missing"):
                self.release("manager")
            for _ in range(need.count):
                self.paper(need.kind, crate=self.crate)
        hold = self.release("manager", panel_kept="Side panel 2, with the fork hole")
        assert hold.panel_kept == "Side panel 2, with the fork hole"
        last = Event.objects.order_by("-sequence").first()
        assert "Kept here: Side panel 2" in last.data["reason"]

    def test_the_same_picture_five_times_is_one_face(self):
        for _ in range(5):
            self.paper("face", crate=self.crate, sha256="ab" * 32)
        for kind in ("inside", "blocking", "label"):
            self.paper(kind, crate=self.crate)
        with pytest.raises(RefusedError, match="all sides"):
            self.release("manager")

    def test_it_wants_a_reason_and_is_released_once(self):
        self.paper("inspection-report", crate=self.crate)
        with pytest.raises(RefusedError, match="Enter the reason"):
            self.release("inspected", reason=" ")
        hold = self.standing()
        self.release("inspected")
        with pytest.raises(RefusedError, match="already released"):
            release_packaging(
                person=self.who.mina,
                at=AT,
                hold=hold,
                version=hold.version,
                how="inspected",
                reason="Again.",
            )

    def test_the_machines_waiver_lets_its_packaging_go_too(self):
        waiver = self.paper("inspection-waiver", unit=self.unit)
        release_hold(
            hold=Hold.objects.get(unit=self.unit),
            how="waived",
            reason="Waived by e-mail.",
            person=self.who.mina,
            at=AT,
            evidence=[waiver],
        )
        assert self.standing() is None

    def test_not_while_another_machine_of_the_crate_waits(self):
        self.find(unit=self.other)
        waiver = self.paper("inspection-waiver", unit=self.unit)
        release_hold(
            hold=Hold.objects.get(unit=self.unit),
            how="waived",
            reason="Waived by e-mail.",
            person=self.who.mina,
            at=AT,
            evidence=[waiver],
        )
        assert self.standing() is not None

    def test_the_managers_word_on_the_machine_leaves_the_packaging(self):
        shot = self.paper("damage", unit=self.unit)
        release_hold(
            hold=Hold.objects.get(unit=self.unit),
            how="manager",
            reason="Customer waits.",
            person=self.who.mina,
            at=AT,
            evidence=[shot],
        )
        assert self.standing() is not None


class TestAsking(Holds):
    def setUp(self):
        self.find()
        self.hold = self.standing()

    def ask(self, who="carrier", on=DAY, version=None):
        ask_about_hold(
            person=self.who.mina,
            at=AT,
            hold=self.hold,
            version=version or self.hold.version,
            who=who,
            on=on,
        )
        self.hold.refresh_from_db()

    def test_each_letter_keeps_its_own_day(self):
        self.ask()
        self.ask("supplier")
        assert self.hold.carrier_asked_on == self.hold.supplier_asked_on == DAY
        assert Event.objects.order_by("-sequence").first().data["who"] == "the supplier"

    def test_the_supplier_stops_its_clock(self):
        stop_supplier_clock(
            person=self.who.mina, at=AT, hold=self.hold, version=1, on=DAY
        )
        self.hold.refresh_from_db()
        assert self.hold.supplier_stopped_on == DAY

    def test_a_day_before_the_hold_or_still_to_come_is_refused(self):
        for day, words in ((-1, "before the hold began"), (1, "in the future")):
            with pytest.raises(RefusedError, match=words):
                self.ask(on=DAY + timedelta(days=day))

    def test_a_stale_page_writes_nothing(self):
        self.ask()
        with pytest.raises(StaleRowError):
            self.ask("supplier", version=1)
        assert self.hold.supplier_asked_on is None
