"""Packets: frozen once, the same bytes ever after, their own event after them."""

import hashlib
import io
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from unittest.mock import patch
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from claims.actions.claim import endings
from claims.actions.claim import steps as claim_steps
from claims.actions.packet.drawing import draw
from claims.actions.packet.packets import (
    Confirmed,
    build_packet,
    draft_packet,
    draw_packet,
    freeze_packet,
    packet_bytes,
)
from claims.models import FindingPhoto
from claims.rules.packet import content as packet_content
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.pictures import renditions
from inventory.evidence.seal.register import tree_state
from inventory.evidence.seal.sent_documents import LostDocumentError
from inventory.evidence.store import originals as store
from inventory.evidence.store.homes import StoreUnavailableError
from inventory.models import Event, SentDocument
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, set_stage, step
from tests.people import cast

pytestmark = pytest.mark.database


def photo_bytes(colour):
    out = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(out, "JPEG")
    return out.getvalue()


class PacketTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)

    def keep(self, colour, kind="damage", **about):
        upload = SimpleUploadedFile("photo.jpg", photo_bytes(colour))
        made = making.make_evidence(shipment=self.stage.shipment)
        return keep_evidence(
            person=self.people.tomas,
            at=AT,
            upload=upload,
            client_id=made.pk,
            kind=kind,
            shipment=self.stage.shipment,
            caption=f"Deck, {colour}",
            **about,
        ).evidence

    def with_photos(self):
        photo = self.keep("orange", delivery=self.stage.delivery)
        FindingPhoto.objects.create(finding=self.stage.finding, evidence=photo)
        receipt = self.keep("teal", kind="receipt", delivery=self.stage.delivery)
        return photo, receipt

    def build(self, **over):
        values = {"person": self.people.mina, "at": AT, "today": TODAY}
        return build_packet(claim=self.claim, **{**values, **over})

    def text(self, data):
        pages = PdfReader(io.BytesIO(data)).pages
        return "\n".join(page.extract_text() for page in pages)

    def test_its_text_carries_what_identifies_and_demands(self):
        photo, receipt = self.with_photos()

        text = self.text(packet_bytes(self.build()))

        shipment = self.stage.shipment
        flat = "".join(text.split())
        for words in (
            shipment.pro_number,
            shipment.bol_number,
            self.claim.number,
            "600.00",
            photo.original_id,
            receipt.original_id,
            self.stage.unit.serial,
        ):
            self.assertIn("".join(words.split()), flat)
        self.assertIn("is liable for", text)
        self.assertIn("Crate 1: dented.", text)

    def test_it_is_given_as_it_was_made_and_never_drawn_again(self):
        photo, _ = self.with_photos()
        packet = self.build()
        renditions.rendition_path(photo.original_id, 1600).unlink()

        with patch(
            "claims.actions.packet.drawing.draw_into", side_effect=AssertionError
        ):
            data = packet_bytes(packet)

        self.assertEqual(hashlib.sha256(data).hexdigest(), packet.sha256)
        sent = SentDocument.objects.get()
        self.assertEqual((sent.noun, sent.key), ("packet", str(packet.pk)))
        self.assertEqual((sent.kind, sent.document_version), ("packet", 1))
        self.assertEqual(sent.original_id, packet.sha256)
        self.assertEqual(sent.original.size, len(data))
        self.assertEqual((sent.made_by, sent.made_at), (self.people.mina, AT))

    def test_its_rows_are_sealed_by_the_event_that_made_it(self):
        packet = self.build()

        made = Event.objects.latest("sequence")
        self.assertEqual(made.kind, "packet.made")
        sent = SentDocument.objects.get()
        for named in (f'"{packet.sha256}"', f'["sentdocument","{sent.pk}"'):
            self.assertIn(named, made.body)

    @pytest.mark.slow
    def test_drawn_again_within_one_format_it_has_the_same_bytes(self):
        self.with_photos()
        packet = self.build()

        content = packet_content.from_json(packet.content)

        self.assertEqual(draw(content), packet_bytes(packet))

    @pytest.mark.slow
    def test_another_process_in_another_folder_draws_the_same_bytes(self):
        self.with_photos()
        packet = self.build()
        frozen = Path(settings.DATA_DIR) / "frozen.json"
        frozen.write_text(packet.content, encoding="utf-8")
        code = (
            "import sys,hashlib;"
            "from claims.documents.packet import packet_pdf;"
            "from claims.rules.packet.content import from_json;"
            "content=from_json(open(sys.argv[1],encoding='utf-8').read());"
            "print(hashlib.sha256(packet_pdf(content,root=sys.argv[2])).hexdigest())"
        )
        done = subprocess.run(
            [sys.executable, "-c", code, str(frozen), str(settings.RENDITION_ROOT)],
            cwd="/",
            env={**os.environ, "PYTHONPATH": str(settings.BASE_DIR)},
            capture_output=True,
            text=True,
            check=True,
        )

        self.assertEqual(done.stdout.strip(), packet.sha256)

    def test_later_changes_do_not_reach_a_frozen_packet(self):
        packet = self.build()
        first = packet_bytes(packet)
        self.stage.finding.facts = "Something else entirely."
        self.stage.finding.save()

        self.assertEqual(packet_bytes(packet), first)

    def test_the_packets_event_lies_after_the_tree_it_states(self):
        before = tree_state()

        packet = self.build()

        self.assertEqual((packet.tree_size, packet.root), (before.size, before.root))
        event = Event.objects.latest("sequence")
        self.assertEqual(event.kind, "packet.made")
        self.assertEqual(event.sequence, before.size + 1)
        self.assertEqual(event.data["sha"], packet.sha256)

    def test_the_frozen_content_names_no_folder_of_this_machine(self):
        self.with_photos()

        packet = self.build()

        self.assertNotIn(str(settings.DATA_DIR), packet.content)
        content = packet_content.from_json(packet.content)
        self.assertEqual(content.exhibits[0].source[0].path.count("/"), 1)

    def test_the_next_packet_is_another_version(self):
        first = self.build()

        second = self.build(today=TODAY + timedelta(days=1))

        self.assertEqual((first.packet_version, second.packet_version), (1, 2))
        self.assertNotEqual(first.sha256, second.sha256)

    def test_a_kept_file_that_was_changed_is_not_given(self):
        packet = self.build()
        path = store.path_of(packet.sha256)
        before = path.read_bytes()
        self.addCleanup(path.write_bytes, before)
        path.write_bytes(b"%PDF-1.4 something else")

        with self.assertRaisesMessage(LostDocumentError, "not drawn again"):
            packet_bytes(packet)

    def test_a_kept_file_that_is_gone_is_told_on_the_page(self):
        packet = self.build()
        path = store.path_of(packet.sha256)
        self.addCleanup(path.write_bytes, path.read_bytes())
        path.unlink()
        self.client.force_login(self.people.mina)

        answer = self.client.get(reverse("packet", args=[packet.pk]), follow=True)

        self.assertRedirects(answer, reverse("claim", args=[self.claim.pk]))
        self.assertContains(answer, "It is not drawn again")

    def test_where_the_disk_refuses_no_packet_is_made(self):
        refuse = StoreUnavailableError("The disk is nearly full.")
        with (
            patch(
                "inventory.evidence.store.originals.store_original", side_effect=refuse
            ),
            self.assertRaisesMessage(RefusedError, "nothing was recorded"),
        ):
            self.build()
        self.assertFalse(self.claim.packets.exists())

    def test_a_withdrawn_claim_has_no_new_packet(self):
        endings.withdraw_claim(claim=self.claim, step=step(self.people, self.claim))

        with self.assertRaisesMessage(RefusedError, "withdrawn"):
            self.build()

    def test_a_demand_of_nothing_is_drafted_and_never_frozen(self):
        self.claim.lines.update(adjusted_cents=0, adjusted_reason="Given away.")
        draft = draft_packet(claim=self.claim, step=step(self.people, self.claim))

        self.assertEqual(len(draft.blocks), 1)
        with self.assertRaisesMessage(RefusedError, "no amount above zero"):
            self.build()
        self.assertFalse(self.claim.packets.exists())

    def send_it(self):
        claim_steps.send_claim(
            claim=self.claim, how="email", step=step(self.people, self.claim)
        )

    def seen(self):
        """Return what the page sends back: version, events and digest."""
        page = self.client.get(reverse("build_packet", args=[self.claim.pk]))
        form = page.context["form"]
        seen = {name: form[name].value() for name in ("version", "size", "digest")}
        return {**seen, "originals": "along"}

    def press(self, once, **over):
        """Press the button of the confirmation, opened under this id."""
        return self.client.post(
            reverse("build_packet", args=[self.claim.pk]),
            {"once": str(once), **self.seen(), **over},
        )

    def test_a_button_pressed_twice_makes_one(self):
        self.client.force_login(self.people.mina)
        page = self.client.get(reverse("build_packet", args=[self.claim.pk]))
        once = page.context["form"].once_id

        self.assertContains(page, f'name="once" value="{once}"')
        seen = self.seen()
        first, second = self.press(once, **seen), self.press(once, **seen)

        self.assertEqual(first["Location"], second["Location"])
        self.assertEqual(self.claim.packets.count(), 1)
        self.press(uuid4())
        self.assertEqual(self.claim.packets.count(), 2)

    def test_a_claim_that_changed_since_is_read_first(self):
        self.client.force_login(self.people.mina)
        address = reverse("build_packet", args=[self.claim.pk])
        seen = self.seen()
        self.send_it()
        answer = self.client.post(address, {"once": uuid4(), **seen})

        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )
        self.assertFalse(self.claim.packets.exists())

    def test_a_claim_that_changes_while_it_is_drawn_is_not_frozen(self):
        now = step(self.people, self.claim)
        draft = draft_packet(claim=self.claim, step=now)
        seen = Confirmed(draft.tree.size, draft.digest, "along")
        drawn = draw_packet(claim=self.claim, step=now, seen=seen)
        self.send_it()

        with self.assertRaises(StaleRowError):
            freeze_packet(drawn)
        self.assertFalse(self.claim.packets.exists())

    def test_the_page_builds_and_gives_it(self):
        self.client.force_login(self.people.mina)

        answer = self.press(uuid4())

        self.assertRedirects(answer, reverse("claim", args=[self.claim.pk]))
        packet = self.claim.packets.get()
        url = reverse("packet", args=[packet.pk])
        given = self.client.get(url)
        self.assertEqual(b"".join(given), packet_bytes(packet))
        self.assertIn("attachment", given["Content-Disposition"])
        self.client.force_login(self.people.abel)
        self.assertEqual(self.client.get(url).status_code, 200)
        build = reverse("build_packet", args=[self.claim.pk])
        self.assertEqual(self.client.post(build).status_code, 403)
        self.client.force_login(self.people.rosa)
        self.assertEqual(self.client.get(url).status_code, 403)
        self.client.force_login(self.people.nell)
        self.assertEqual(self.client.get(url).status_code, 404)
