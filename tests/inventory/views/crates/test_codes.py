"""The codes on a photo, read for any field that asks for a number. Nothing is kept."""

from pathlib import Path
from unittest import mock

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from inventory.evidence.pictures.label_reader import BUSY, LabelReading
from inventory.forms.core.text_fields import LineField, ProField
from inventory.models import Event, Evidence, Original
from inventory.rules.codes.identifiers import as_typed, parse
from tests import making
from tests.label_photos import label_photo
from tests.people import cast
from tests.pictures import jpeg

pytestmark = pytest.mark.database

READER = "inventory.views.crates.codes.read_label"


@pytest.mark.parametrize(
    ("scanned", "typed"),
    [
        # A carrier's PRO in Code 128 (]C0) or Code 39 (]A0): digits, common practice.
        ("]C0410220871", "410220871"),
        ("]A0 410-220871 ", "410-220871"),
        ("]Q1RK-0042", "RK-0042"),
        ("RK-0042", "RK-0042"),
        ("]C18003006141411234524007", "(8003)006141411234524007"),
        ("https://id.gs1.org/8003/006141411234524007", "(8003)006141411234524007"),
        ("]C1400PO-1\x1d10A", "400PO-1 10A"),
        ("  ", ""),
    ],
)
def test_a_code_is_given_as_it_would_be_typed(scanned, typed):
    assert as_typed(scanned) == typed


def test_a_field_says_that_it_scans():
    address = reverse("read_codes")
    for field in (ProField(), LineField(label="Mark", most=9, scans=True)):
        assert str(field.widget.attrs["data-scan"]) == address
    assert "data-scan" not in LineField(label="Name", most=9).widget.attrs


class TestReading(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def read(self, photo):
        upload = SimpleUploadedFile("label.jpg", photo, "image/jpeg")
        return self.client.post(reverse("read_codes"), {"photo": upload})

    def test_the_codes_of_a_printed_label_come_back_once_each(self):
        answer = self.read(label_photo(parse("RK-0042")))
        assert answer.status_code == 200
        assert answer.json() == {"codes": ["RK-0042"]}

    def test_several_codes_are_all_given(self):
        reading = LabelReading(("]C0410220871", "]C0410220871", "]Q1X-1"))
        with mock.patch(READER, return_value=reading):
            assert self.read(jpeg()).json() == {"codes": ["410220871", "X-1"]}

    def test_nothing_is_saved(self):
        before = kept_files(), Event.objects.count()
        self.read(label_photo(parse("RK-0042")))
        assert (kept_files(), Event.objects.count()) == before
        assert not Evidence.objects.exists()
        assert not Original.objects.exists()

    def test_what_cannot_be_read_is_said_plainly(self):
        for photo, said in (
            (jpeg(), "No code could be read"),
            (b"not a photo", "not a photo"),
            (b"%PDF-1.4 x", "not a photo"),
            (jpeg()[:400], "could not be opened"),
        ):
            with self.subTest(said=said):
                answer = self.read(photo)
                assert answer.status_code == 422
                assert said in answer.json()["problem"]
                assert "not saved" in answer.json()["problem"]

    def test_busy_and_too_large_and_nothing_at_all(self):
        with mock.patch(READER, return_value=LabelReading(trouble=BUSY)):
            answer = self.read(jpeg())
            assert answer.status_code == 503, "a phone's photo goes on waiting"
            assert "in a moment" in answer.json()["problem"]
        with self.settings(EVIDENCE_LIMIT=100):
            assert "larger than" in self.read(jpeg()).json()["problem"]
        answer = self.client.post(reverse("read_codes"))
        assert (answer.status_code, "problem" in answer.json()) == (422, True)

    def test_a_token_is_needed(self):
        self.client.handler.enforce_csrf_checks = True
        assert self.read(jpeg()).status_code == 403


class TestFields(TestCase):
    def test_every_page_that_asks_for_a_number_says_so(self):
        who = cast()
        delivery = making.make_delivery(location=who.riverside)
        shipment = making.make_shipment(
            location=who.riverside, carrier=delivery.carrier
        )
        making.make_handover(delivery, shipment)
        crate = making.make_crate(shipment, delivery=delivery)
        self.client.force_login(who.rosa)
        for name, key, fields in (
            ("add_bill", delivery, ["pro_number"]),
            ("edit_delivery", delivery, ["seal_number"]),
            ("edit_shipment", shipment, ["pro_number"]),
            ("add_unit", shipment, ["serial"]),
            ("edit_crate", crate, ["mark"]),
            ("set_crate_identity", crate, ["mark", "grai", "sscc"]),
            ("find_crate", None, ["code"]),
            ("search", None, ["q"]),
        ):
            url = reverse(name, args=[key.pk] if key else [])
            page = self.client.get(url).content.decode()
            for field in fields:
                with self.subTest(page=name, field=field):
                    start = page.index(f'name="{field}"')
                    tag = page[page.rindex("<", 0, start) : page.index(">", start)]
                    assert f'data-scan="{reverse("read_codes")}"' in tag


def kept_files():
    """Return every file below the folder of originals."""
    return sorted(str(path) for path in Path(settings.DATA_DIR).rglob("*.jpg"))
