"""The preview of a claim file: one file, and a page that says how far it is."""

import io
from functools import partial
from unittest.mock import patch

import pytest
from django.conf import settings
from django.test import override_settings
from pypdf import PdfReader

from claims.actions.claim.steps import Step
from claims.actions.packet import drawing, packets
from inventory.actions.evidence.withholding import withhold_evidence
from tests.claims.stage import AT, TODAY
from tests.claims.views.packet.test_waiting import Waiting
from tests.inventory.evidence.store.test_drawn_files import until
from tests.pictures import grainy

pytestmark = pytest.mark.database


class TestPreviews(Waiting):
    def is_drawn(self, answer):
        return self.client.get(answer.url).context["is_drawn"]

    @override_settings(DRAWN_WITHIN=0.05)
    def test_a_long_one_leads_to_a_page_that_tells_and_ends_with_the_link(self):
        may_end, drawn, slowly = self.slowly()
        with slowly:
            first = self.client.get(self.at("packet_preview"), {"events": "3"})
            again = self.client.get(self.at("packet_preview"), {"events": "3"})
            self.assertRedirects(first, again.url, fetch_redirect_response=False)
            assert first.url.startswith(self.at("packet_drawing") + "?events=3&file=")

            page = self.client.get(first.url)
            self.assertContains(page, "Laying out page 4 of 9")
            self.assertContains(
                page, '<noscript><meta http-equiv="refresh" content="1"></noscript>'
            )
            self.assertNotContains(page, "Open the preview (PDF)")
            assert "no-store" in page["Cache-Control"]

            may_end.set()
            assert until(partial(self.is_drawn, first))
            page = self.client.get(first.url)
        self.assertContains(page, "Open the preview (PDF)")
        self.assertNotContains(page, "refresh")
        assert len(drawn) == 1

        with patch.object(packets, "draft_packet") as drafting:
            pdf = self.client.get(page.context["preview"])
            words = self.words_of(pdf)
        assert all("DRAFT: not confirmed, not to be sent" in page for page in words)
        assert not drafting.called

    @override_settings(DRAWN_WITHIN=0.05)
    def test_another_content_is_another_file(self):
        may_end, drawn, slowly = self.slowly()
        with slowly:
            first = self.client.get(self.at("packet_preview"))
            self.people.riverside.address = "9 Other Road\nRiverside, IA 52327"
            self.people.riverside.save()
            other = self.client.get(self.at("packet_preview"))
            assert first.url != other.url
            may_end.set()
            for answer in (first, other):
                assert until(partial(self.is_drawn, answer))
        assert len(drawn) == 2

    def test_one_that_was_not_finished_says_so_and_can_be_made_again(self):
        for asked in ({}, {"file": "0" * 64}, {"file": "../../secret_key"}):
            page = self.client.get(self.at("packet_drawing"), asked)
            self.assertContains(page, "Make the preview again")
            self.assertNotContains(page, "refresh")
            assert page.context["preview"] == self.at("packet_preview")
        pages = self.words_of(
            self.client.get(self.at("packet_preview"), {"file": "../../secret_key"})
        )
        assert pages

    def test_the_file_of_another_claim_is_not_given(self):
        name = f"drawn-claim-{self.claim.pk + 1}-{'a' * 64}.pdf"
        path = settings.FILE_UPLOAD_TEMP_DIR / name
        path.write_bytes(b"of another claim")
        answer = self.client.get(self.at("packet_preview"), {"file": "a" * 64})
        assert b"".join(answer).startswith(b"%PDF")

    @override_settings(DRAWN_WITHIN=60)
    def test_one_is_no_longer_given_once_a_photo_of_it_is_hidden(self):
        row = self.photo(grainy(3), self.stage.shipment)
        held = b"".join(self.client.get(self.at("packet_preview")))
        (path,) = settings.FILE_UPLOAD_TEMP_DIR.glob("drawn-claim-*.pdf")
        asked = {"file": path.stem.rpartition("-")[2]}
        assert b"".join(self.client.get(self.at("packet_preview"), asked)) == held
        withhold_evidence(
            person=self.people.mina, at=AT, evidence=row, reason="A face."
        )
        page = self.client.get(self.at("packet_drawing"), asked)
        assert not page.context["is_drawn"]
        assert b"".join(self.client.get(self.at("packet_preview"), asked)) != held

    def test_it_tells_each_page_and_each_picture(self):
        said = []
        draft = packets.draft_packet(claim=self.claim, step=self.step())
        out = io.BytesIO()
        drawing.draw_into(out, draft.content, mark="DRAFT", say=said.append)
        pages = len(PdfReader(out).pages)

        assert f"Laying out page 1 of {pages}" in said
        assert f"Laying out page {pages} of {pages}" in said
        assert out.getvalue() == drawing.draw(draft.content, mark="DRAFT")
        pictures = [words for words in said if words.startswith("Writing")]
        assert pictures == [
            f"Writing picture {number} of {len(pictures)}"
            for number in range(1, len(pictures) + 1)
        ]
        assert len(pictures) == sum(
            len(one.source) + len(one.bound) for one in draft.content.exhibits
        )

    def step(self):
        version = type(self.claim).objects.get(pk=self.claim.pk).version
        return Step(person=self.people.mina, at=AT, today=TODAY, version=version)

    def test_nobody_else_is_told_how_far_it_is(self):
        self.client.force_login(self.people.rosa)
        answer = self.client.get(self.at("packet_drawing"), {"file": "0" * 64})
        assert answer.status_code == 403
