"""The packet as the other side gets it: one archive from the claim's page."""

import io
import json
import shutil
import zipfile

import pytest
from django.urls import reverse

from claims.documents.packet import checker_text
from inventory.evidence.store import originals as store
from inventory.evidence.store.originals_zip import ChangedOriginalError
from inventory.models import Evidence, Withholding
from tests.claims.actions.packet import test_packet_proofs as proofs
from tests.claims.stage import AT
from tests.house.access_rows import make_packet

pytestmark = pytest.mark.database


class HandedOverTests(proofs.ProofTests):
    """The same packet as the other side gets it: one archive from the claim's page."""

    def get(self, name, packet=None):
        self.client.force_login(self.people.mina)
        return self.client.get(reverse(name, args=[(packet or self.packet).pk]))

    def setUp(self):
        super().setUp()
        shutil.rmtree(self.originals)
        answer = self.get("packet_originals")
        with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as whole:
            assert whole.testzip() is None
            whole.extractall(self.originals)
        for name in ("manifest.json", "check_packet.py"):
            assert (self.originals / name).read_bytes() == (
                self.folder / name
            ).read_bytes()

    def test_the_archive_is_the_same_every_time_and_comes_in_pieces(self):
        first, second = (
            list(self.get("packet_originals").streaming_content) for _ in range(2)
        )

        assert first == second
        assert len(first) > 5
        assert max(map(len, first)) < 70_000

    def test_the_program_is_given_alone_too(self):
        answer = self.get("packet_checker")

        assert answer.content.decode() == checker_text()
        assert "attachment" in answer["Content-Disposition"]

    def test_what_was_withheld_since_is_left_out_and_told(self):
        photo = Evidence.objects.order_by("received_at", "pk").first()
        Withholding.objects.create(
            evidence=photo,
            is_withheld=True,
            reason="Shows a face",
            said_at=AT,
            said_by=self.people.mina,
        )

        answer = self.get("packet_originals")

        data = io.BytesIO(b"".join(answer.streaming_content))
        names = zipfile.ZipFile(data).namelist()
        assert "left-out.txt" in names
        assert not [name for name in names if photo.original_id in name]

    def test_a_missing_original_is_told_and_nothing_is_sent(self):
        path = store.path_of(self.listed["originals"][0]["sha256"])
        moved = path.rename(path.with_suffix(".away"))
        self.addCleanup(moved.rename, path)

        answer = self.get("packet_originals")

        self.assertRedirects(answer, reverse("claim", args=[self.claim.pk]))

    def test_a_changed_original_breaks_the_archive_off(self):
        path = store.path_of(self.listed["originals"][0]["sha256"])
        data = path.read_bytes()
        path.chmod(0o640)
        path.write_bytes(data[:-1] + b"x")
        self.addCleanup(path.write_bytes, data)

        with pytest.raises(ChangedOriginalError):
            list(self.get("packet_originals").streaming_content)

    def test_the_page_leads_to_both_and_not_for_a_packet_made_before(self):
        old = json.loads(self.packet.content)
        del old["manifest"], old["checker"]
        before = make_packet(
            self.claim, self.people.mina, json.dumps({**old, "format": 1})
        )
        self.client.force_login(self.people.mina)

        page = self.client.get(reverse("claim", args=[self.claim.pk]))

        for name in ("packet_originals", "packet_checker"):
            self.assertContains(page, reverse(name, args=[self.packet.pk]))
            self.assertNotContains(page, reverse(name, args=[before.pk]))
            self.assertRedirects(
                self.get(name, before), reverse("claim", args=[self.claim.pk])
            )
