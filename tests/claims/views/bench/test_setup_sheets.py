"""The setup sheet: what it says before and after the sign-off, and that it is kept."""

from dataclasses import replace
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from claims.actions.bench import sign_offs
from claims.actions.bench.line_readings import LineTaken, read_line
from claims.actions.bench.setup_sheets import drawn_sheet
from claims.models import SetupReading, SignOff
from claims.queries.bench.setup_sheets import sheet_of, signing_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.evidence.withholding import withhold_evidence
from inventory.evidence.pictures.renditions import rendition_path
from inventory.evidence.store.originals import path_of
from inventory.models import Evidence, SentDocument
from inventory.views.core.clock import now, today_at
from tests import making
from tests.claims.views.bench.test_bench import photo
from tests.claims.views.bench.test_setup_pages import LEVEL, TIRES, SetupPages
from tests.pictures import jpeg
from tests.reading import read_photos
from tests.verifying import record

pytestmark = pytest.mark.database


def text_of(data):
    pages = PdfReader(BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


class SheetCase(SetupPages):
    """A mower with a low tire set, a deck adjusted, and one open item to come."""

    def prepare_once(self):
        super().prepare_once()
        self.begin()
        self.read("tires", **{**TIRES, "reading_right-rear": "0.55 bar"})
        self.read("tires", **TIRES)
        low = {**LEVEL, "reading_left": "3 1/2"}
        self.read("deck-level", **low, photos=photo("found.jpg", jpeg((90, 60))))
        self.send(
            "decide_line", "deck-level", decision="adjustment", reason="Link slipped."
        )
        self.read("deck-level", **LEVEL, photos=photo("after.jpg", jpeg((60, 90))))

    def sign(self):
        self.rest_right("registration")
        return self.send(
            "sign_off_setup",
            who_registration="Tomas Brandt",
            by_registration=today_at(self.people.riverside).isoformat(),
            what_registration="Buyer registers it",
        )

    def sheet(self, name="setup_sheet", pk=None, who="tomas"):
        answer = self.as_(who).get(self.url(name, pk or self.unit.pk))
        assert answer.status_code == 200, answer.status_code
        assert answer["Content-Type"] == "application/pdf"
        return answer.content


class BeforeSignOff(SheetCase):
    def test_it_says_on_every_page_that_it_is_not_finished(self):
        pages = PdfReader(BytesIO(self.sheet())).pages
        for page in pages:
            text = " ".join(page.extract_text().split())
            assert "Not released for sale" in text
            assert "Not finished" in text
        assert "Released for sale" not in text_of(self.sheet())
        assert not SentDocument.objects.exists()
        self.assertContains(self.page("setup"), self.url("setup_sheet", self.unit.pk))

    def test_both_readings_of_an_adjustment_stay_with_their_verdicts(self):
        text = text_of(self.sheet())
        for said in (
            "As found",
            "After adjustment",
            "3 1/2 in",
            "3 3/4 in",
            "Decided: Adjustment",
            "Link slipped.",
            "Photo 1",
            "page 31",
        ):
            assert said in text, said

    def test_a_reading_has_its_unit_as_typed_with_target_and_verdict(self):
        text = text_of(self.sheet())
        for said in ("0.55 bar", "13 psi to 15 psi", "the lowest allowed is 9 psi"):
            assert said in text, said

    def test_every_photo_is_numbered_with_the_code_of_its_original(self):
        text = text_of(self.sheet()).replace(" ", "")
        for number, row in enumerate(Evidence.objects.all(), start=1):
            assert f"Photo{number}." in text
            assert row.original_id in text

    def test_a_hidden_photo_is_not_on_it(self):
        row = Evidence.objects.order_by("pk")[0]
        withhold_evidence(
            person=self.people.mina, at=now(), evidence=row, reason="A face."
        )
        text = text_of(self.sheet()).replace(" ", "")
        assert row.original_id not in text
        assert "Photo2." not in text

    def test_a_photo_whose_copy_was_never_sealed_is_told_in_words(self):
        row = Evidence.objects.order_by("pk")[0]
        original = path_of(row.original_id)
        self.addCleanup(original.write_bytes, original.read_bytes())
        original.unlink()
        copy = rendition_path(row.original_id, 1600)
        self.addCleanup(copy.unlink)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(jpeg((90, 60)))
        page = self.as_("tomas")
        page.raise_request_exception = False
        answer = page.get(self.url("setup_sheet", self.unit.pk))
        self.assertContains(answer, "is not the one that was sealed", status_code=503)

    def test_a_machine_without_a_setup_has_no_sheet(self):
        other = making.make_unit(crate=self.crate)
        answer = self.as_("tomas").get(self.url("setup_sheet", other.pk))
        assert answer.status_code == 404

    def test_a_release_by_the_manager_is_no_sign_off(self):
        self.send(
            "release_unsigned", who="mina", reason="It goes to the training shop."
        )
        text = text_of(self.sheet())
        assert "Not signed off" in text
        assert "It goes to the training shop." in text
        row = SignOff.objects.get()
        answer = self.as_("tomas").get(self.url("signed_sheet", row.pk))
        assert answer.status_code == 404

    def test_it_asks_the_same_queries_at_two_lines_and_at_all(self):
        setup = self.unit.setups.get()
        counts = []
        for _ in range(2):
            read_photos()
            sheet_of(setup, at=now())
            with CaptureQueriesContext(connection) as queries:
                sheet_of(setup, at=now())
            counts.append(len(queries))
            self.rest_right()
        assert counts[0] == counts[1]


class AfterSignOff(SheetCase):
    def prepare_once(self):
        super().prepare_once()
        self.sign()
        self.row = SignOff.objects.get()

    def signed(self, row=None):
        return self.sheet("signed_sheet", (row or self.row).pk)

    def test_it_says_who_when_and_that_it_is_released(self):
        text = text_of(self.signed())
        for said in (
            "Released for sale",
            "Complete, with open items",
            str(self.people.tomas),
            "Product registration",
            "Buyer registers it",
            self.unit.model,
            "Ride-on mower, version 1",
            "34 lines",
        ):
            assert said in text, said
        assert "Not released" not in text

    def test_the_bytes_are_kept_and_never_drawn_again(self):
        kept = SentDocument.objects.get()
        assert (kept.kind, kept.key) == ("setup-sheet", str(self.row.pk))
        before = self.signed()
        SetupReading.objects.bulk_create(
            [
                SetupReading(
                    setup=self.unit.setups.get(),
                    line="keys",
                    result="wrong",
                    note="Lost.",
                    taken_at=now(),
                    taken_on=today_at(self.people.riverside),
                    taken_by=self.people.tomas,
                )
            ]
        )
        assert self.signed() == before
        assert "Not signed again" in text_of(self.sheet())

    def test_two_builds_are_the_same_bytes(self):
        again = [
            drawn_sheet(
                self.row.setup,
                person=self.people.tomas,
                at=self.row.signed_at,
                signing=signing_of(self.row),
            )
            for _ in range(2)
        ]
        assert again[0] == again[1]
        assert "Drawn later from the record" in text_of(again[0])
        later = replace(signing_of(self.row), is_drawn_later=False)
        fresh = drawn_sheet(
            self.row.setup,
            person=self.people.tomas,
            at=self.row.signed_at,
            signing=later,
        )
        assert fresh == self.signed()

    def test_a_sign_off_of_before_is_drawn_as_it_stood(self):
        old = SignOff.objects.bulk_create(
            [
                SignOff(
                    setup=self.row.setup,
                    unit=self.unit,
                    state="complete",
                    signed_at=making.ARRIVED,
                    signed_on=making.ARRIVED.date(),
                    signed_by=self.people.tomas,
                )
            ]
        )[0]
        text = text_of(self.signed(old))
        assert "Drawn later from the record" in text
        assert "3 3/4 in" not in text

    def test_a_line_saved_meanwhile_refuses_the_sheet_that_lacks_it(self):
        doing = {"person": self.people.tomas, "at": now(), "unit": self.unit}
        self.read("registration", result="right")
        sheet = sign_offs.draw_sheet(**doing)
        read_line(taken=LineTaken("keys", "right", note="Three keys."), **doing)
        with pytest.raises(RefusedError, match="another line"):
            sign_offs.sign_off_setup(sheet=sheet, **doing)
        assert SignOff.objects.count() == 1

    def test_a_photo_hidden_meanwhile_refuses_the_sheet_that_shows_it(self):
        doing = {"person": self.people.tomas, "at": now(), "unit": self.unit}
        self.read("registration", result="right")
        sheet = sign_offs.draw_sheet(**doing)
        withhold_evidence(
            evidence=Evidence.objects.get(file_name="after.jpg"),
            person=self.people.mina,
            at=now(),
            reason="A face is on it.",
        )
        with pytest.raises(RefusedError, match="was changed just now"):
            sign_offs.sign_off_setup(sheet=sheet, **doing)
        assert SignOff.objects.count() == 1
        sign_offs.sign_off_setup(**doing)
        assert SignOff.objects.count() == 2

    def test_what_is_not_on_the_sheet_may_change_meanwhile(self):
        doing = {"person": self.people.tomas, "at": now(), "unit": self.unit}
        self.read("registration", result="right")
        sheet = sign_offs.draw_sheet(**doing)
        record(1)
        sign_offs.sign_off_setup(sheet=sheet, **doing)
        assert SignOff.objects.count() == 2

    def test_it_is_on_the_paper_of_the_location(self):
        self.people.riverside.paper = "a4"
        self.people.riverside.save()
        self.read("registration", result="right")
        self.send("sign_off_setup")
        last = SignOff.objects.order_by("-pk")[0]
        widths = [
            round(PdfReader(BytesIO(self.signed(row))).pages[0].mediabox.width)
            for row in (self.row, last)
        ]
        assert widths == [612, 595]

    def test_signed_again_it_is_another_sheet_and_the_first_stays(self):
        first = self.signed()
        self.read("registration", result="right")
        self.send("sign_off_setup")
        last = SignOff.objects.order_by("-pk").first()
        assert last.state == "complete"
        assert "Complete, with open items" not in text_of(self.signed(last))
        assert self.signed() == first
        answer = self.as_("tomas").get(self.url("setup_sheet", self.unit.pk))
        self.assertRedirects(
            answer, self.url("signed_sheet", last.pk), fetch_redirect_response=False
        )

    def test_another_location_finds_nothing(self):
        for name, pk in (("signed_sheet", self.row.pk), ("setup_sheet", self.unit.pk)):
            answer = self.as_("nell").get(self.url(name, pk))
            assert answer.status_code == 404
