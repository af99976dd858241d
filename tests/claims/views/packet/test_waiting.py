"""A claim file that takes long is confirmed when it is drawn: once, and only what was read."""

import hashlib
import threading
import uuid
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import override_settings
from django.urls import reverse

from claims.actions.packet import drawing, lighter_files, packets
from claims.models import LighterFile
from claims.rules.letters.content import DRAFT
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.evidence.withholding import withhold_evidence
from inventory.documents.core.pictures import PictureError
from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.renditions import UnsealedPictureError
from inventory.evidence.store import originals as store
from inventory.evidence.store.drawn_files import NotDrawnError, NotDrawnYetError
from tests import making
from tests.claims.stage import AT
from tests.claims.views.packet.test_confirming import Confirming
from tests.inventory.evidence.store.test_drawn_files import until
from tests.pictures import grainy
from tests.verifying import report_now

pytestmark = pytest.mark.database


class Waiting(Confirming):
    def setUp(self):
        super().setUp()
        folder = TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.enterContext(override_settings(FILE_UPLOAD_TEMP_DIR=Path(folder.name)))

    def confirm(self, seen):
        return self.client.post(self.at("build_packet"), seen)

    def photo(self, data, shipment):
        return keep_evidence(
            person=self.people.tomas,
            at=AT,
            upload=SimpleUploadedFile("a.jpg", data),
            client_id=uuid.uuid4(),
            kind="damage",
            shipment=shipment,
        ).evidence

    def slowly(self, module=drawing):
        """Let drawing begin, say how far it is, and wait until it may end."""
        may_end, real, drawn = threading.Event(), module.draw_into, []

        def draw(out, content, **more):
            drawn.append((content, more.get("mark", "")))
            more["say"]("Laying out page 4 of 9")
            assert may_end.wait(30)
            real(out, content, **more)

        return may_end, drawn, patch.object(module, "draw_into", draw)

    def is_ready(self, page):
        return self.client.get(page.context["follow"]).context["how_far"] is None

    def again(self, page):
        """Send the form again that the page holds, as its script and button do."""
        return self.client.post(self.at("build_packet"), dict(page.context["fields"]))


@override_settings(DRAWN_WITHIN=0.05)
class TestWaiting(Waiting):
    def test_a_long_one_is_not_confirmed_yet_and_then_once(self):
        may_end, drawn, slowly = self.slowly()
        seen = self.seen()
        with slowly:
            page = self.confirm(seen)
            assert page.status_code == 202
            assert "no-store" in page["Cache-Control"]
            self.assertContains(page, "Not confirmed yet.", status_code=202)
            self.assertContains(page, "Laying out page 4 of 9", status_code=202)
            sent = dict(page.context["fields"])
            assert {name: sent[name] for name in seen} == {
                name: str(value) for name, value in seen.items()
            }
            far = self.client.get(page.context["follow"])
            self.assertContains(far, "Laying out page 4 of 9")
            self.assertContains(far, "data-drawing")
            assert self.again(page).status_code == 202
            assert not self.claim.packets.exists()

            may_end.set()
            assert until(partial(self.is_ready, page))
            answers = [self.again(page) for _ in range(3)]
        assert {one.status_code for one in answers} == {302}
        assert len(drawn) == 1
        packet = self.claim.packets.get()
        pdf = b"".join(self.client.get(reverse("packet", args=[packet.pk])))
        assert drawing.draw(drawn[0][0]) == pdf
        assert report_now().first == []

    def test_twenty_at_once_draw_one_file_and_make_one_claim_file(self):
        may_end, drawn, slowly = self.slowly()
        with slowly:
            pages = [self.confirm(self.seen()) for _ in range(20)]
            may_end.set()
            assert until(partial(self.is_ready, pages[0]))
            codes = [self.again(page).status_code for page in pages]
        assert sorted(codes) == [302] + [422] * 19
        assert len(drawn) == 1
        assert self.claim.packets.count() == 1

    def test_one_that_waits_while_the_other_is_saved_gets_the_same_answer(self):
        """What was drawn is forgotten once it is saved, so the other waits in vain."""
        seen = self.seen()
        real = drawing.confirmed_file

        def saved_meanwhile(*asked, **options):
            with patch.object(packets, "confirmed_file", real):
                self.first = self.confirm(seen)
            raise NotDrawnYetError("Counting the pages")

        with (
            override_settings(DRAWN_WITHIN=60),
            patch.object(packets, "confirmed_file", saved_meanwhile),
        ):
            answer = self.confirm(seen)
        assert (answer.status_code, answer.url) == (302, self.first.url)
        assert self.claim.packets.count() == 1

    def test_what_is_marked_as_a_draft_is_never_what_is_confirmed(self):
        seen = self.seen()
        with override_settings(DRAWN_WITHIN=60):
            self.client.get(self.at("packet_preview"))
            assert self.confirm(seen).status_code == 302
        packet = self.claim.packets.get()
        words = self.words_of(self.client.get(reverse("packet", args=[packet.pk])))
        assert not any("DRAFT" in page for page in words)

    def test_the_file_that_was_drawn_is_gone_once_its_bytes_are_stored(self):
        with override_settings(DRAWN_WITHIN=60):
            assert self.confirm(self.seen()).status_code == 302
        assert not list(Path(settings.FILE_UPLOAD_TEMP_DIR).glob("drawn-confirmed-*"))

    def test_a_preview_that_fails_later_says_why_when_it_is_asked_again(self):
        may_end, tried = threading.Event(), []

        def fails(*_args, **_more):
            tried.append("")
            assert may_end.wait(30)
            raise PictureError("The picture 1 is missing.")

        with patch("claims.documents.packet.write_packet", fails):
            page = self.client.get(self.at("packet_preview"), follow=True)
            may_end.set()
            address = page.redirect_chain[-1][0]
            assert until(lambda: self.client.get(address).context["how_far"] is None)
            answer = self.client.get(self.at("packet_preview"), follow=True)
        self.assertContains(answer, "missing or damaged on our disk")
        assert len(tried) == 1

    def test_where_it_fails_later_the_form_comes_back_with_the_reason(self):
        may_end = threading.Event()

        def fails(*_args, **_more):
            assert may_end.wait(30)
            raise PictureError("The picture 1 is missing.")

        with patch("claims.documents.packet.write_packet", fails):
            page = self.confirm(self.seen())
            may_end.set()
            assert until(partial(self.is_ready, page))
            answer = self.again(page)
        self.assertContains(answer, "missing or damaged on our disk", status_code=422)
        self.assertContains(answer, "Confirm and make", status_code=422)
        assert not self.claim.packets.exists()

    def test_nobody_else_is_told_how_far_it_is(self):
        self.client.force_login(self.people.rosa)
        answer = self.client.get(self.at("packet_being_confirmed"), {"file": "0" * 64})
        assert answer.status_code == 403


class TestWhatChangesMeanwhile(Waiting):
    """What is confirmed is read again where anything was recorded while it was drawn."""

    def while_stored(self, change):
        real = packets.store_document_in

        def changing(file):
            change()
            return real(file)

        return patch.object(packets, "store_document_in", changing)

    def record(self):
        self.photo(grainy(4), making.make_shipment(location=self.people.riverside))

    def test_a_fact_of_another_row_that_changes_is_refused(self):
        def change():
            self.record()
            self.stage.finding.facts = "Something else."
            self.stage.finding.save()

        with self.while_stored(change):
            answer = self.confirm(self.seen())
        self.assertContains(answer, "no longer what you read", status_code=422)
        assert not self.claim.packets.exists()

    def test_what_changes_nothing_in_it_is_not_and_no_file_is_opened_for_it(self):
        self.photo(grainy(3), self.stage.shipment)
        seen, opened = self.seen(), []

        def change():
            self.record()
            self.enterContext(
                patch.object(renditions, "shown_rendition", opened.append)
            )

        with self.while_stored(change):
            assert self.confirm(seen).status_code == 302
        assert opened == []
        assert report_now().first == []

    def test_what_stands_against_it_by_now_is_told(self):
        def change():
            self.record()
            self.enterContext(
                patch(
                    "claims.queries.packet.gathering.credit_words",
                    return_value="The supplier credited it. Take it off the claim first.",
                )
            )

        with self.while_stored(change):
            answer = self.confirm(self.seen())
        self.assertContains(answer, "The supplier credited it.", status_code=422)
        assert not self.claim.packets.exists()

    def test_a_photo_that_comes_after_it_was_read_is_a_change(self):
        seen = self.seen()
        self.photo(grainy(3), self.stage.shipment)
        events = {"events": seen["size"]}
        answer = self.client.get(self.at("packet_preview"), events, follow=True)
        self.assertContains(answer, "came after you opened the page")
        answer = self.confirm(seen)
        self.assertContains(answer, "came after you opened the page", status_code=422)
        assert not self.claim.packets.exists()


class TestLighterOnes(Waiting):
    """A lighter edition is drawn once into a file: shown, confirmed and frozen of it."""

    def setUp(self):
        super().setUp()
        self.rows = [self.photo(grainy(n), self.stage.shipment) for n in range(3)]
        self.confirm(self.seen())
        self.packet = self.claim.packets.get()
        self.address = reverse("make_lighter", args=[self.packet.pk])

    def sent(self, page):
        form = page.context["form"]
        return {name: form[name].value() for name in ("mb", "digest", "once")}

    @pytest.mark.slow
    @override_settings(DRAWN_WITHIN=0.05)
    def test_it_is_drawn_once_for_the_page_and_the_confirmation(self):
        may_end, drawn, slowly = self.slowly(lighter_files)
        asked = {"mb": 1}
        with slowly:
            page = self.client.get(self.address, asked)
            assert page.status_code == 202
            assert until(lambda: drawn)
            far = self.address + page.context["follow"]
            self.assertContains(self.client.get(far), "data-drawing")
            self.assertContains(
                page,
                '<noscript><meta http-equiv="refresh" content="1"></noscript>',
                status_code=202,
            )
            may_end.set()
            assert until(lambda: self.client.get(far).context["how_far"] is None)
            page = self.client.get(self.address, asked)
            self.assertContains(page, "Confirm and make the lighter edition")
            answer = self.client.post(self.address, self.sent(page))
        assert answer.status_code == 302
        assert [mark for _, mark in drawn] == [""]
        row = LighterFile.objects.get()
        given = self.client.get(reverse("lighter_file", args=[row.pk]))
        assert hashlib.sha256(b"".join(given)).hexdigest() == row.sha256

    @pytest.mark.slow
    @override_settings(DRAWN_WITHIN=0.05)
    def test_its_preview_is_another_file_and_is_waited_for(self):
        with override_settings(DRAWN_WITHIN=60):
            self.client.get(self.address, {"mb": 1})
        may_end, drawn, slowly = self.slowly(lighter_files)
        asked = {"mb": 1, "pdf": 1}
        with slowly:
            page = self.client.get(self.address, asked)
            assert page.status_code == 202
            far = self.address + page.context["follow"]
            assert until(lambda: drawn)
            assert self.client.get(far).context["how_far"] is not None
            may_end.set()
            assert until(lambda: self.client.get(far).context["how_far"] is None)
            words = self.words_of(self.client.get(self.address, asked))
        assert all("DRAFT: not confirmed" in one for one in words)
        assert [mark for _, mark in drawn] == [DRAFT]

    @pytest.mark.slow
    def test_a_photo_that_is_hidden_while_it_is_stored_is_not_sent(self):
        page = self.client.get(self.address, {"mb": 1})
        real = lighter_files.store_document_in

        def hiding(file):
            withhold_evidence(
                person=self.people.mina,
                at=AT,
                evidence=self.rows[0],
                reason="A driver.",
            )
            return real(file)

        with patch.object(lighter_files, "store_document_in", hiding):
            answer = self.client.post(self.address, self.sent(page))
        self.assertContains(answer, "was hidden since", status_code=422)
        assert not LighterFile.objects.exists()

    def test_a_lost_photo_is_told_in_words(self):
        for row in self.rows:
            renditions.rendition_path(row.original_id, 1600).unlink()
            store.path_of(row.original_id).unlink()
        page = self.client.get(self.address, {"mb": 1})
        self.assertContains(page, "missing or damaged on our disk")
        self.assertNotContains(page, "Confirm and make")

    def test_a_photo_that_no_reading_sealed_is_told_in_words(self):
        with patch.object(
            lighter_files,
            "sealed_rendition",
            side_effect=UnsealedPictureError("Not yet."),
        ):
            page = self.client.get(self.address, {"mb": 1})
        self.assertContains(page, "Not yet.")

    @pytest.mark.slow
    def test_a_form_that_is_refused_draws_none_to_show_beside_it(self):
        page = self.client.get(self.address, {"mb": 1})
        for name in settings.FILE_UPLOAD_TEMP_DIR.glob("drawn-lighter-*"):
            name.unlink()
        with patch.object(
            lighter_files, "draw_into", side_effect=NotDrawnError("It is lost.")
        ) as drawing:
            answer = self.client.post(self.address, self.sent(page))
        self.assertContains(answer, "It is lost.", status_code=422)
        assert drawing.call_count == 1

    @pytest.mark.slow
    def test_one_that_never_fits_says_so_each_time_it_is_asked(self):
        with patch.object(lighter_files, "LEVELS", (lighter_files.LEVELS[0],)):
            for _ in range(2):
                with patch("claims.actions.packet.lighter_files.MB", 10_000):
                    page = self.client.get(self.address, {"mb": 1})
                self.assertContains(page, "With the smallest pictures it is still")
