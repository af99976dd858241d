"""Marks are rows beside the photo: the last counts, none is changed, bytes stay."""

import json

import pytest
from django.db import DatabaseError, transaction
from django.test import TestCase

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.evidence.marking import mark_photo
from inventory.models import Event, Evidence, Original, PhotoMarkup
from inventory.rules.evidence.markup import Mark
from tests import making
from tests.making import ARRIVED
from tests.people import cast

pytestmark = pytest.mark.database

CIRCLE = Mark("circle", 100, 200, 400, 500)
ARROW = Mark("arrow", 0, 0, 500, 500)


class TestMarking(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.shipment = making.make_shipment(location=cls.who.riverside)
        cls.photo = making.make_evidence(shipment=cls.shipment, caption="Side 2")

    def mark(self, *marks, version=0, photo=None):
        return mark_photo(
            person=self.who.rosa,
            at=ARRIVED,
            evidence=photo or self.photo,
            marks=marks,
            version=version,
        )

    def test_the_last_row_counts_and_the_earlier_ones_stay(self):
        first = self.mark(CIRCLE)
        second = self.mark(CIRCLE, ARROW, version=first.pk)

        photo = Evidence.objects.get()
        assert photo.marks == (CIRCLE, ARROW)
        assert photo.last_markup == second
        assert PhotoMarkup.objects.count() == 2

    def test_removing_all_is_a_new_row_without_any(self):
        first = self.mark(CIRCLE)
        self.mark(version=first.pk)

        assert Evidence.objects.get().marks == ()
        assert [row.marks != [] for row in PhotoMarkup.objects.all()] == [True, False]
        kinds = Event.objects.order_by("sequence").values_list("kind", flat=True)
        assert list(kinds)[-2:] == ["evidence.marked", "evidence.unmarked"]

    def test_the_photo_itself_is_not_touched(self):
        before = Evidence.objects.values().get()
        self.mark(CIRCLE)
        assert Evidence.objects.values().get() == before

    def test_it_is_an_event_of_all_that_the_photo_belongs_to(self):
        self.mark(CIRCLE, CIRCLE, ARROW)

        event = Event.objects.order_by("-sequence").first()
        assert event.data["marks"] == "2 circles, 1 arrow"
        assert event.data["sha256"] == self.photo.original_id
        nouns = set(event.subjects.values_list("noun", flat=True))
        assert nouns == {"shipment", "evidence"}

    def test_the_chain_holds_the_marks(self):
        made = self.mark(CIRCLE)
        sealed = json.loads(Event.objects.order_by("-sequence").first().body)
        (image,) = [one for one in sealed["rows"] if one[0] == "photomarkup"]
        assert image[1] == str(made.pk)
        assert json.loads(image[2]["marks"]) == made.marks

    def test_whoever_saw_other_marks_saves_nothing(self):
        first = self.mark(CIRCLE)
        for version in (0, first.pk + 1):
            with pytest.raises(StaleRowError):
                self.mark(ARROW, version=version)
        assert PhotoMarkup.objects.get() == first

    def test_the_same_marks_again_are_refused(self):
        with pytest.raises(RefusedError, match="Nothing was saved"):
            self.mark()
        first = self.mark(CIRCLE)
        with pytest.raises(RefusedError, match="as they were"):
            self.mark(CIRCLE, version=first.pk)
        assert PhotoMarkup.objects.count() == 1

    def test_a_document_and_a_wrong_mark_are_refused(self):
        Original.objects.create(
            sha256="f" * 64, size=9, media_type="application/pdf", stored_at=ARRIVED
        )
        paper = making.make_evidence(shipment=self.shipment, sha256="f" * 64)
        with pytest.raises(RefusedError, match="not a photo"):
            self.mark(CIRCLE, photo=paper)
        with pytest.raises(RefusedError, match="at most 12"):
            self.mark(*[CIRCLE] * 13)
        assert not PhotoMarkup.objects.exists()

    def test_marks_can_be_neither_changed_nor_taken_away(self):
        made = self.mark(CIRCLE)
        for change in (
            lambda: PhotoMarkup.objects.update(marks=[]),
            lambda: PhotoMarkup.objects.all()._raw_delete("default"),
        ):
            with (
                pytest.raises(DatabaseError, match="append-only"),
                transaction.atomic(),
            ):
                change()
        assert PhotoMarkup.objects.get().marks == made.marks
