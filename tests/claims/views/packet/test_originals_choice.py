"""Whether the originals go along is chosen at the confirmation, and recorded with it."""

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.evidence.withholding import withhold_evidence
from inventory.models import Event
from tests.claims.stage import AT
from tests.claims.views.packet.test_confirming import Confirming
from tests.pictures import turned_jpeg

pytestmark = pytest.mark.database


class TestOriginals(Confirming):
    def photo(self, number):
        return keep_evidence(
            person=self.people.tomas,
            at=AT,
            upload=SimpleUploadedFile("a.jpg", turned_jpeg() + bytes([number])),
            client_id=uuid.uuid5(uuid.NAMESPACE_OID, f"original {number}"),
            kind="damage",
            shipment=self.stage.shipment,
        ).evidence

    def confirm(self, **over):
        answer = self.client.post(self.at("build_packet"), self.seen() | over)
        return answer, self.claim.packets.last()

    def test_the_page_tells_what_the_cameras_wrote(self):
        self.photo(1)
        self.photo(2)
        page = self.client.get(self.at("build_packet"))
        self.assertContains(page, "The originals carry camera data.")
        self.assertContains(page, "the place in 2, the time in 2 and the device in 2")
        self.assertContains(page, "Hidden photos never do.")

    def test_nothing_is_confirmed_before_it_is_chosen(self):
        for chosen in ("", "both"):
            once = str(uuid.uuid4())
            answer, made = self.confirm(originals=chosen, once=once)
            assert answer.status_code == 422
            assert made is None

    def test_kept_here_they_are_not_given_out(self):
        self.photo(1)
        _, made = self.confirm(originals="here")
        assert made.originals == "here"
        event = Event.objects.filter(kind="packet.made").latest("sequence")
        assert event.data["originals"] == "keep them here"
        archive = reverse("packet_originals", args=[made.pk])
        page = self.client.get(reverse("claim", args=[self.claim.pk]))
        self.assertNotContains(page, archive)
        self.assertContains(page, "The originals of version 1 stay here")
        answer = self.client.get(archive, follow=True)
        self.assertContains(answer, "stay here: ")
        self.assertContains(answer, "make the next claim file and choose so")

    def test_sent_along_they_are_given_out_and_hidden_ones_never(self):
        hidden, shown = self.photo(1), self.photo(2)
        withhold_evidence(
            person=self.people.mina, at=AT, evidence=hidden, reason="Shows a driver."
        )
        _, made = self.confirm(originals="along")
        archive = reverse("packet_originals", args=[made.pk])
        page = self.client.get(reverse("claim", args=[self.claim.pk]))
        self.assertContains(page, archive)
        data = b"".join(self.client.get(archive).streaming_content)
        assert shown.original_id.encode() in data
        assert hidden.original_id.encode() not in data
