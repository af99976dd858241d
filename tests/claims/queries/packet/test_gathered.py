"""A claim file shows the claim's own machines and the whole load, nobody else's."""

from datetime import timedelta

import pytest
from django.test import TestCase

from claims.queries.claim.proof import proof_of
from claims.queries.claim.worksheet import counted_lines
from claims.queries.packet.findings import custody_entries
from claims.queries.packet.gathered import gather
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database


class TestGathered(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.other = making.make_unit(
            crate=making.make_crate(cls.stage.shipment, delivery=cls.stage.delivery)
        )
        cls.claim = claim_it(cls.people, cls.stage)

    def photo(self, kind="damage", **about):
        about = {"shipment": self.stage.shipment, **about}
        return making.make_evidence(kind=kind, **about)

    def files(self):
        gathered = gather(self.claim, person=self.people.mina, as_of=TODAY)
        return {row.pk for row in gathered.files}

    def test_another_machine_of_the_bill_is_not_shown(self):
        ours = [
            self.photo(unit=self.stage.unit),
            self.photo("look", crate=self.stage.crate),
            self.photo("load"),
            self.photo("bill-of-lading"),
            self.photo("load", shipment=None, delivery=self.stage.delivery),
        ]
        self.photo(unit=self.other, crate=self.other.crate)
        self.photo("look", crate=self.other.crate)
        # A second machine in the very crate that the claim is about.
        self.photo(unit=making.make_unit(crate=self.stage.crate))

        assert self.files() == {row.pk for row in ours}

    def test_a_photo_of_our_finding_stays_whatever_it_belongs_to(self):
        photo = self.photo(crate=self.other.crate)
        self.stage.finding.photos.add(photo)

        assert self.files() == {photo.pk}

    def test_a_photo_of_another_finding_alone_goes_though_it_names_no_machine(self):
        theirs, both = self.photo(), self.photo()
        found = making.make_finding(crate=self.other.crate, unit=self.other)
        found.photos.add(theirs, both)
        self.stage.finding.photos.add(both)

        assert self.files() == {both.pk}

    def test_a_loss_of_the_bill_itself_is_about_all_of_it(self):
        photo = self.photo(unit=self.other)
        self.claim.lines.update(unit=None, finding=None)

        assert self.files() == {photo.pk}

    def test_a_photo_of_another_machine_is_no_document_of_this_claim(self):
        photo = self.photo(unit=self.other)
        lines = counted_lines(self.claim)

        missing = {one.key for one in proof_of(self.claim, lines, [photo]).missing}
        own = self.photo(unit=self.stage.unit)
        there = {one.key for one in proof_of(self.claim, lines, [own]).missing}

        assert missing - there == {"photos"}


class TestCustody(TestCase):
    """Which photos show the crate as it came, and which what was in it."""

    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)

    def photo(self, kind="damage", **over):
        about = {"shipment": self.stage.shipment, "crate": self.stage.crate}
        return making.make_evidence(kind=kind, **about, **over)

    def shown(self):
        gathered = gather(self.claim, person=self.people.mina, as_of=TODAY)
        (entry,) = custody_entries(gathered)
        by_number = {number: key for key, number in gathered.numbers.items()}
        return (
            {by_number[number] for number in entry.at_delivery},
            {by_number[number] for number in entry.at_opening},
        )

    def test_damage_seen_with_the_truck_here_is_no_photo_of_the_opening(self):
        tailgate = making.make_inspection(
            unit=None, crate=self.stage.crate, stage="tailgate"
        )
        outside = making.make_finding(tailgate, crate=self.stage.crate, unit=None)
        seen = self.photo(received_at=AT + timedelta(hours=1))  # it waited on a phone
        inside = self.photo(received_at=AT + timedelta(hours=2))
        outside.photos.add(seen)
        self.stage.finding.photos.add(inside)

        assert self.shown() == ({str(seen.pk)}, {str(inside.pk)})

    def test_a_close_up_of_no_finding_goes_by_the_clock(self):
        before = self.photo(received_at=AT - timedelta(hours=1))
        after = self.photo(received_at=AT + timedelta(hours=1))
        label = self.photo("label", received_at=AT + timedelta(hours=1))
        layer = self.photo("opening", received_at=AT - timedelta(hours=1))

        assert self.shown() == (
            {str(before.pk), str(label.pk)},
            {str(after.pk), str(layer.pk)},
        )
