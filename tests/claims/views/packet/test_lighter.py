"""A lighter edition is previewed, confirmed and frozen; what changed is shown."""

import dataclasses
import hashlib
import io
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from pypdf import PdfReader

from claims.models import LighterFile
from claims.rules.packet.changes import changes_between
from claims.rules.packet.content import from_json
from claims.rules.packet.lighter import Lighter, size_words
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.evidence.withholding import withhold_evidence
from inventory.models import Event, SentDocument
from tests.claims.stage import AT
from tests.claims.views.packet.test_confirming import Confirming
from tests.pictures import grainy
from tests.verifying import report_now

pytestmark = pytest.mark.database


class TestLighter(Confirming):
    def photo(self, seed):
        return keep_evidence(
            person=self.people.tomas,
            at=AT,
            upload=SimpleUploadedFile("a.jpg", grainy(seed)),
            client_id=uuid.uuid5(uuid.NAMESPACE_OID, f"grainy {seed}"),
            kind="damage",
            shipment=self.stage.shipment,
        ).evidence

    def make_packet(self):
        self.client.post(
            self.at("build_packet"), self.seen() | {"once": str(uuid.uuid4())}
        )
        return self.claim.packets.order_by("packet_version").last()

    def open(self, packet, **asked):
        return self.client.get(reverse("make_lighter", args=[packet.pk]), asked)

    def confirm(self, packet, page, **over):
        form = page.context["form"]
        seen = {name: form[name].value() for name in ("mb", "digest", "once")}
        return self.client.post(reverse("make_lighter", args=[packet.pk]), seen | over)

    @pytest.mark.slow
    def test_it_fits_says_what_is_smaller_and_is_frozen_with_its_hash(self):
        for seed in range(3):
            self.photo(seed)
        packet = self.make_packet()
        assert packet.size > 1_000_000
        page = self.open(packet, mb=1)
        draft = self.open(packet, mb=1, pdf=1)
        words = self.words_of(draft)
        assert all("DRAFT: not confirmed, not to be sent" in one for one in words)
        assert self.confirm(packet, page).status_code == 302
        row = LighterFile.objects.get()
        given = self.client.get(reverse("lighter_file", args=[row.pk]))
        data = b"".join(given)
        assert hashlib.sha256(data).hexdigest() == row.sha256
        assert len(data) == row.size <= row.limit_bytes == 1_000_000
        text = " ".join(self.words_of([data]))
        assert "Lighter edition." in text
        assert "Exhibits 1 to 3" in text
        assert packet.sha256 in text.replace(" ", "")
        assert text.count("Smaller picture; in full size") == 3
        event = Event.objects.filter(kind="packet.lighter").get()
        assert event.data["sha"] == row.sha256
        assert len(PdfReader(io.BytesIO(data)).attachments) == 2
        assert report_now().first == []
        self.assertContains(
            self.client.get(reverse("claim", args=[self.claim.pk])),
            reverse("lighter_file", args=[row.pk]),
        )

    def test_what_fits_already_is_sent_as_it_is(self):
        packet = self.make_packet()
        self.assertContains(self.open(packet), "as it is")
        for wrong in ("0", "51", "x", ""):
            page = self.open(packet, mb=wrong)
            self.assertContains(page, "Choose a limit below.")

    @pytest.mark.slow
    def test_what_was_hidden_since_or_not_read_is_not_made(self):
        rows = [self.photo(seed) for seed in range(3)]
        packet = self.make_packet()
        page = self.open(packet, mb=1)
        answer = self.confirm(packet, page, digest="0" * 64)
        self.assertContains(answer, "no longer what you read", status_code=422)
        withhold_evidence(
            person=self.people.mina, at=AT, evidence=rows[0], reason="A driver."
        )
        again = self.confirm(packet, page, once=str(uuid.uuid4()))
        self.assertContains(again, "was hidden since", status_code=422)
        assert not LighterFile.objects.exists()
        assert SentDocument.objects.filter(noun="lighterfile").count() == 0

    def test_the_page_shows_what_changed_between_two_versions(self):
        first = self.make_packet()
        answer = self.client.get(reverse("packet_changes", args=[first.pk]))
        assert answer.status_code == 302
        photo = self.photo(7)
        self.claim.lines.update(adjusted_cents=12_300, adjusted_reason="Agreed.")
        self.stage.shipment.freight_class = "125"
        self.stage.shipment.save()
        second = self.make_packet()
        page = self.client.get(reverse("packet_changes", args=[second.pk]))
        changes = page.context["changes"]
        amount = changes.amounts[0]
        assert (amount.label, amount.after) == ("Amount of the claim", "USD 123.00")
        facts = {one.label: (one.before, one.after) for one in changes.facts}
        assert facts["Shipment, class as billed"] == ("", "125")
        added = [one for one in changes.exhibits if one.how == "Added"]
        shown = from_json(second.content).exhibits
        assert [one.number for one in added] == [
            one.number for one in shown if one.sha256 == photo.original_id
        ]
        self.assertContains(page, "USD 123.00")

    def test_the_same_content_has_no_changes_and_a_left_out_exhibit_is_told(self):
        self.photo(1)
        content = from_json(self.make_packet().content)
        assert changes_between(content, content).is_same
        less = dataclasses.replace(content, exhibits=())
        (gone,) = changes_between(content, less).exhibits
        assert gone.how.startswith("Left out")


def test_a_size_is_rounded_up_so_that_it_never_seems_to_fit():
    assert size_words(5_000_001) == "5.1 MB"
    assert size_words(5_000_000) == "5.0 MB"
    assert Lighter("1", "a", "1 MB", 800, "2026-11-20", ()).exhibits == ()
