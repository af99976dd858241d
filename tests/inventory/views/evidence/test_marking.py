"""The page that marks a photo, and the pages that show the marks."""

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.pictures import renditions
from inventory.evidence.store import originals as store
from inventory.models import Event, Evidence, Location, PhotoMarkup
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.pictures import jpeg, turned_jpeg
from tests.reading import seen

pytestmark = pytest.mark.database

CIRCLE = {"kind": "circle", "x1": "10", "y1": "20.5", "x2": "40", "y2": "50"}
RULER = {
    "kind": "measure",
    "x1": "0",
    "y1": "50",
    "x2": "100",
    "y2": "50",
    "length": "3 1/2",
    "unit": "in",
}
HOSTILE = {"kind": "words", "x1": "5", "y1": "5", "text": "</svg><script>x</script>"}


def keep(who, upload, name="a"):
    return keep_evidence(
        person=who.rosa,
        at=ARRIVED,
        upload=upload,
        client_id=uuid.uuid5(uuid.NAMESPACE_OID, name),
        kind="damage",
        shipment=making.make_shipment(location=who.riverside),
    ).evidence


class TestMarkingPage(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        self.photo = keep(self.who, SimpleUploadedFile("IMG_1.jpg", jpeg()))
        self.client.force_login(self.who.rosa)
        self.url = reverse("mark_photo", args=[self.photo.pk])
        self.page = reverse("evidence", args=[self.photo.pk])

    def send(self, *lines, version=None, **more):
        last = PhotoMarkup.objects.order_by("-pk").first()
        data = {
            "version": str(last.pk if last else 0) if version is None else version,
            "mark-TOTAL_FORMS": "12",
            "mark-INITIAL_FORMS": "0",
        }
        for number, line in enumerate(lines):
            data |= {f"mark-{number}-{name}": value for name, value in line.items()}
        return self.client.post(self.url, data | more)

    def test_without_a_script_places_are_typed_over_a_grid(self):
        page = self.client.get(self.url).content.decode()
        assert "data-grid" in page
        for label in (
            "Start: % from the left",
            "End: % from the top",
            "Length",
            "Unit",
        ):
            assert label in page
        assert page.count('name="mark-11-kind"') == 1

    def test_it_is_reached_from_the_photo_and_drawn_over_it(self):
        self.assertContains(self.client.get(self.page), f'href="{self.url}"')
        self.assertNotContains(self.client.get(self.page), "<ellipse")

        answer = self.send(CIRCLE, RULER)

        assert answer["Location"] == self.page
        page = self.client.get(self.page).content.decode()
        # 640 x 480 is 10,000 x 7,500: the middle is 25 %, 35.25 %.
        assert '<ellipse cx="2500" cy="2643" rx="1500" ry="1106"' in page
        assert "3 1/2 in</text>" in page
        assert 'aria-label="Marks: 1 circle, 1 measure line; 3 1/2 in"' in page
        assert "Marked by Rosa" in page

    def test_saved_marks_are_on_the_form_as_they_were_typed(self):
        self.send(CIRCLE, RULER)
        form = self.client.get(self.url).context["form"]
        shown = [
            {name: line[name].value() for name in ("x1", "y1", "length", "unit")}
            for line in form.line_sets["mark"].forms[:2]
        ]
        assert shown[0]["x1"] == "10"
        assert (shown[0]["y1"], shown[1]["length"]) == ("20.5", "3 1/2")
        assert (shown[1]["y1"], shown[1]["unit"]) == ("50", "in")

    def test_lines_that_are_cleared_remove_the_marks(self):
        self.send(CIRCLE)
        answer = self.send()
        assert answer.status_code == 302
        self.assertContains(self.client.get(self.page), "All marks removed.")
        self.assertNotContains(self.client.get(self.page), "<ellipse")
        assert PhotoMarkup.objects.count() == 2

    def test_words_are_text_and_nothing_else(self):
        self.send(HOSTILE)
        page = self.client.get(self.page).content.decode()
        assert "<script>x" not in page
        assert "&lt;script&gt;x" in page
        assert " style=" not in page

    def test_a_mistake_comes_back_with_all_that_was_typed(self):
        for line, said in (
            (CIRCLE | {"x2": "101"}, "outside the photo"),
            (CIRCLE | {"x2": "1e1"}, "Enter 0 to 100"),
            (CIRCLE | {"x2": ""}, "Enter a percentage"),
            (RULER | {"length": ""}, "you measured"),
            (RULER | {"unit": ""}, "Choose in, ft, mm or cm"),
            (HOSTILE | {"text": "a" * 61}, "Shorten this to 60"),
            (CIRCLE | {"kind": ""}, "Choose circle"),
            (CIRCLE | {"kind": "star"}, "one of those listed"),
        ):
            with self.subTest(said=said):
                answer = self.send(RULER, line)
                self.assertContains(answer, said, status_code=422)
                self.assertContains(answer, 'value="3 1/2"', status_code=422)
        assert not PhotoMarkup.objects.exists()

    def test_marks_made_meanwhile_are_not_overwritten_unseen(self):
        self.send(CIRCLE)
        answer = self.send(RULER, version="0")
        self.assertContains(answer, "changed this after you", status_code=422)
        assert PhotoMarkup.objects.count() == 1

        form = answer.context["form"]
        assert self.send(RULER, version=form["version"].value()).status_code == 302

    def test_sent_twice_it_is_saved_once(self):
        once = str(uuid.uuid4())
        first = self.send(CIRCLE, once=once)
        second = self.send(CIRCLE, once=once)
        assert first["Location"] == second["Location"]
        assert PhotoMarkup.objects.count() == 1

    def test_bytes_and_copies_stay_as_they_are(self):
        path = renditions.ensure_rendition(self.photo.original_id, 1600)
        before = path.read_bytes()
        self.send(CIRCLE)
        assert path.read_bytes() == before
        assert store.is_intact(self.photo.original_id)

    def test_a_photo_that_lay_on_its_side_is_measured_upright(self):
        photo = keep(self.who, SimpleUploadedFile("b.jpg", turned_jpeg()), "b")
        as_stored = seen(photo)
        assert as_stored.width > as_stored.height
        page = self.client.get(reverse("mark_photo", args=[photo.pk])).content.decode()
        assert 'viewBox="0 0 10000 13333"' in page

    def test_a_document_says_why_not(self):
        paper = keep(self.who, SimpleUploadedFile("c.pdf", b"%PDF-1.4 x"), "c")
        url = reverse("mark_photo", args=[paper.pk])
        self.assertContains(self.client.get(url), "not a photo that can be shown")
        self.assertNotContains(
            self.client.get(reverse("evidence", args=[paper.pk])), "Mark the photo"
        )

    def test_a_hidden_photo_cannot_be_marked(self):
        self.client.force_login(self.who.mina)
        hide = reverse("withhold_evidence", args=[self.photo.pk])
        self.client.post(hide, {"reason": "Private."})
        assert self.client.get(self.url).status_code == 404
        self.assertNotContains(self.client.get(self.page), "Mark the photo")

    def test_another_location_and_a_stranger_are_kept_out(self):
        self.client.force_login(self.who.nell)
        assert self.send(CIRCLE).status_code == 404
        self.client.logout()
        assert "/login/" in self.send(CIRCLE)["Location"]
        assert not PhotoMarkup.objects.exists()

    def test_lists_flag_a_marked_photo_and_ask_no_more_for_many(self):
        bill = reverse("shipment", args=[self.photo.shipment_id])
        self.assertNotContains(self.client.get(bill), ">Marked<")
        self.send(CIRCLE)
        self.assertContains(self.client.get(bill), ">Marked<", count=1)
        with CaptureQueriesContext(connection) as one:
            self.client.get(bill)
        for _ in range(5):
            photo = making.make_evidence(shipment=self.photo.shipment)
            making.make_markup(photo, said_by=self.who.rosa)
        with CaptureQueriesContext(connection) as many:
            self.client.get(bill)
        assert len(many) == len(one)

    def test_its_event_reads_plainly(self):
        self.send(CIRCLE, RULER)
        event = Event.objects.order_by("-sequence").first()
        assert event.kind == "evidence.marked"
        self.assertContains(
            self.client.get(reverse("shipment", args=[self.photo.shipment_id])),
            "Marked on a copy of Damage close-up: 1 circle, 1 measure line.",
        )
        assert Location.objects.filter(pk=event.location_id).exists()
        assert Evidence.objects.get(pk=self.photo.pk).marks
