"""Replaced parts on their pages: tagged, kept, answered, scrapped."""

from io import BytesIO

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from claims.models import Claim, PartTag
from inventory.models import Event, Evidence
from inventory.views.core.clock import today_at
from tests import making
from tests.claims.stage import claim_it, set_stage
from tests.claims.views.bench.test_bench import photo
from tests.people import cast

pytestmark = pytest.mark.database


class TagPages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.finding = cls.stage.finding

    def as_(self, name):
        self.client.force_login(getattr(self.people, name))
        return self.client

    def page(self, name, *args, who="tomas"):
        return self.as_(who).get(reverse(name, args=args))

    def send(self, name, row, person="tomas", /, **data):
        row.refresh_from_db()
        data.setdefault("version", getattr(row, "version", ""))
        return self.as_(person).post(reverse(name, args=[row.pk]), data)

    def tag(self, **over):
        data = {"part": "Deck shell", "shelf": "C4", **over}
        self.send("tag_part", self.finding, **data)
        return PartTag.objects.order_by("-pk")[0]

    def scrap(self, tag, who="tomas"):
        return self.send("scrap_part", tag, who)


class Tagging(TagPages):
    def test_a_part_of_the_repair_is_named_until_its_old_one_is_tagged(self):
        part = self.finding.parts.get()
        address = f"{reverse('tag_part', args=[self.finding.pk])}?part={part.pk}"
        self.assertContains(self.page("finding", self.finding.pk), "Not tagged")
        form = self.as_("tomas").get(address).context["form"]
        assert form["part"].value() == "Deck shell"
        self.tag(part="deck shell")
        page = self.page("finding", self.finding.pk)
        self.assertNotContains(page, "Not tagged")
        self.assertContains(page, "T-0001")

    def test_its_paper_has_claim_machine_day_and_shelf(self):
        claim = claim_it(self.people, self.stage)
        tag = self.tag()
        answer = self.page("part_tag_pdf", tag.pk)
        assert answer["Content-Type"] == "application/pdf"
        pages = PdfReader(BytesIO(answer.content)).pages
        text = " ".join(pages[0].extract_text().split())
        day = today_at(self.people.riverside)
        for said in (
            "T-0001",
            claim.number,
            str(self.stage.unit),
            f"{day.day}",
            f"{day.year}",
            "Shelf C4",
        ):
            assert said in text, said

    def test_bad_input_says_what_to_enter(self):
        for over, field, said in (
            ({"part": ""}, "part", "Enter the part."),
            ({"shelf": " "}, "shelf", "Enter where it is kept."),
            ({"part": "x" * 121}, "part", "Shorten this"),
        ):
            with self.subTest(over):
                data = {"part": "Deck shell", "shelf": "C4", **over}
                answer = self.send("tag_part", self.finding, **data)
                assert answer.status_code == 422
                assert said in " ".join(answer.context["form"].errors[field])
        assert not PartTag.objects.exists()

    def test_a_finding_on_no_machine_has_no_part(self):
        bare = making.make_finding(crate=self.stage.crate, unit=None)
        assert self.page("tag_part", bare.pk).status_code == 404


class Keeping(TagPages):
    def setUp(self):
        self.kept = self.tag()

    def test_a_part_is_not_scrapped_before_its_answer(self):
        for claim in (False, True):
            if claim:
                claim_it(self.people, self.stage)
            page = self.page("part_tag", self.kept.pk)
            self.assertContains(page, "Keep it.")
            self.assertNotContains(page, reverse("scrap_part", args=[self.kept.pk]))
            self.assertContains(self.page("scrap_part", self.kept.pk), "Not now.")
            answer = self.scrap(self.kept)
            self.assertContains(answer, "Keep the part until", status_code=422)
        self.kept.refresh_from_db()
        assert self.kept.scrapped_at is None
        assert not Event.objects.filter(kind="part.scrapped").exists()

    def test_the_waiver_is_attached_and_lets_it_go(self):
        answer = self.send("waive_part", self.kept, "mina")
        self.assertContains(answer, "Add the carrier&#x27;s waiver.", status_code=422)
        self.send("waive_part", self.kept, "mina", photos=photo("waiver.jpg"))
        self.kept.refresh_from_db()
        assert self.kept.waiver == Evidence.objects.get(kind="inspection-waiver")
        page = self.page("part_tag", self.kept.pk)
        self.assertContains(page, reverse("evidence", args=[self.kept.waiver_id]))
        self.assertContains(page, "Carrier waived it in writing.")
        assert self.scrap(self.kept).status_code == 302
        event = Event.objects.get(kind="part.scrapped")
        assert event.data["why"] == "carrier waived it in writing"
        self.assertContains(self.scrap(self.kept), "already scrapped", status_code=422)

    def test_a_waiver_saved_before_is_offered(self):
        row = making.make_evidence(
            shipment=self.stage.shipment,
            kind="inspection-waiver",
            recorded_by=self.people.rosa,
        )
        self.assertContains(
            self.page("waive_part", self.kept.pk, who="mina"), str(row.pk)
        )
        self.send("waive_part", self.kept, "mina", photos_kept=str(row.pk))
        self.kept.refresh_from_db()
        assert self.kept.waiver == row

    def test_a_closed_claim_lets_it_go(self):
        claim = claim_it(self.people, self.stage)
        Claim.objects.filter(pk=claim.pk).update(state="settled")
        self.assertContains(self.page("part_tag", self.kept.pk), "Claim is closed.")
        assert self.scrap(self.kept).status_code == 302

    def test_a_collected_part_is_gone(self):
        answer = self.send("collect_part", self.kept, on="2026-03-12")
        self.assertContains(answer, "Enter who collected it.", status_code=422)
        answer = self.send("collect_part", self.kept, on="", who="Lou Parr")
        self.assertContains(answer, "Enter a date.", status_code=422)
        self.send("collect_part", self.kept, on="2026-03-12", who="Lou Parr")
        self.assertContains(self.page("part_tag", self.kept.pk), "by Lou Parr")
        self.assertContains(self.scrap(self.kept), "not here to scrap", status_code=422)

    def test_the_list_says_what_may_be_scrapped_now(self):
        other = self.tag(part="Left hanger")
        self.send("waive_part", other, "mina", photos=photo("waiver.jpg"))
        page = self.page("part_tags", who="mina")
        self.assertContains(page, "May be scrapped now: 1")
        self.assertContains(page, "To keep: 1")
        tags = page.context["tags"]
        assert [row.tag for row in (*tags.free, *tags.kept)] == [other, self.kept]
        self.assertContains(self.page("bench"), "1 to keep, 1 may be scrapped now")
        self.scrap(other)
        self.assertContains(self.page("part_tags"), "Scrapped or collected, the last 1")

    def test_only_the_manager_records_a_waiver_and_strangers_see_nothing(self):
        assert self.page("waive_part", self.kept.pk).status_code == 403
        assert self.page("scrap_part", self.kept.pk, who="rosa").status_code == 403
        assert self.page("part_tag", self.kept.pk, who="nell").status_code == 404
        assert self.page("part_tags", who="nell").context["tags"].kept == ()

    def test_the_list_asks_the_same_queries_for_one_and_for_twenty(self):
        counts = []
        for _ in range(2):
            self.page("part_tags")
            with CaptureQueriesContext(connection) as queries:
                self.page("part_tags")
            counts.append(len(queries))
            for number in range(20):
                making.make_part_tag(self.finding, part=f"Part {number}")
        assert counts[0] == counts[1]
