"""Before a claim file goes out: its preview, its facts, its confirmation."""

import hashlib
import io
from datetime import UTC, timedelta
from unittest.mock import Mock, patch
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from claims.models import Claim
from claims.queries.packet.gathered import gather
from claims.queries.packet.gathering import packet_content
from claims.queries.packet.working import working_content
from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.pictures import renditions
from inventory.evidence.seal.register import tree_state
from inventory.models import Event
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast
from tests.pictures import grainy
from tests.verifying import report_now

pytestmark = pytest.mark.database


class Confirming(TestCase):
    claimant = "us"

    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage, claimant=cls.claimant)

    def setUp(self):
        self.client.force_login(self.people.mina)

    def at(self, name):
        return reverse(name, args=[self.claim.pk])

    def seen(self):
        form = self.client.get(self.at("build_packet")).context["form"]
        names = ("version", "size", "digest", "once")
        return {name: form[name].value() for name in names} | {"originals": "along"}

    def words_of(self, answer):
        pages = PdfReader(io.BytesIO(b"".join(answer))).pages
        return [" ".join(page.extract_text().split()) for page in pages]

    def facts(self, **over):
        form = self.client.get(self.at("file_facts")).context["form"]
        held = {
            name: form[name].value() or "" for name in form.fields if form[name].value()
        }
        return held | over


class TestConfirming(Confirming):
    def test_what_is_confirmed_is_what_is_frozen_and_the_event_has_its_hash(self):
        seen = self.seen()
        assert self.client.post(self.at("build_packet"), seen).status_code == 302
        packet = self.claim.packets.get()
        event = Event.objects.latest("sequence")
        assert event.kind == "packet.made"
        assert event.actor == self.people.mina
        assert event.data["confirmed"] == seen["digest"]
        assert hashlib.sha256(packet.content.encode()).hexdigest() == seen["digest"]
        assert report_now().first == []

    def test_what_changed_after_the_preview_is_not_frozen(self):
        seen = self.seen()
        self.stage.finding.facts = "Something else."
        self.stage.finding.save()
        answer = self.client.post(self.at("build_packet"), seen)
        self.assertContains(answer, "no longer what you read", status_code=422)
        assert not self.claim.packets.exists()

    def test_what_changed_is_read_again_and_confirmed_on_the_page_that_says_so(self):
        seen = self.seen()
        self.stage.finding.facts = "Something else."
        self.stage.finding.save()
        making.make_evidence(shipment=self.stage.shipment)
        page = self.client.post(self.at("build_packet"), seen)
        again = {name: page.context["form"][name].value() for name in seen}
        self.assertContains(page, f"?events={again['size']}", status_code=422)
        assert self.client.post(self.at("build_packet"), again).status_code == 302
        packet = self.claim.packets.get()
        assert hashlib.sha256(packet.content.encode()).hexdigest() == again["digest"]
        assert "Something else." in packet.content

    def test_what_happened_elsewhere_meanwhile_does_not_matter(self):
        seen = self.seen()
        other = making.make_shipment(location=self.people.riverside)
        making.make_evidence(shipment=other)
        assert self.client.post(self.at("build_packet"), seen).status_code == 302

    def test_a_made_up_digest_is_refused(self):
        for bad in ("0" * 64, "x", ""):
            seen = self.seen() | {"digest": bad, "once": str(uuid4())}
            assert self.client.post(self.at("build_packet"), seen).status_code == 422
        for bad in ("0", "99999999", "x"):
            seen = self.seen() | {"size": bad, "once": str(uuid4())}
            assert self.client.post(self.at("build_packet"), seen).status_code == 422
        assert not self.claim.packets.exists()

    def test_every_page_of_the_preview_is_a_draft(self):
        pages = self.words_of(self.client.get(self.at("packet_preview")))
        assert all("DRAFT: not confirmed, not to be sent" in page for page in pages)
        size = tree_state().size
        for asked in (str(size), "x", "-1", "9" * 30):
            answer = self.client.get(self.at("packet_preview"), {"events": asked})
            assert answer.status_code == 200

    def test_a_demand_of_nothing_is_not_confirmed(self):
        self.claim.lines.update(adjusted_cents=0, adjusted_reason="Given away.")
        page = self.client.get(self.at("build_packet"))
        self.assertContains(page, "no amount above zero")
        self.assertNotContains(page, "Confirm and make the claim file")
        pages = self.words_of(self.client.get(self.at("packet_preview")))
        assert all("DRAFT" in page for page in pages)

    def test_a_bill_without_a_claimant_is_not_confirmed(self):
        seen = self.seen()
        self.people.riverside.address = ""
        self.people.riverside.save()
        page = self.client.get(self.at("build_packet"))
        self.assertContains(page, "The claimant has no name or no address")
        answer = self.client.post(self.at("build_packet"), seen)
        self.assertContains(answer, "no name or no address", status_code=422)
        assert not self.claim.packets.exists()

    def test_missing_documents_warn_and_stop_nothing(self):
        page = self.client.get(self.at("build_packet"))
        self.assertContains(page, "Bill of lading is missing.")
        self.assertContains(page, "Confirm and make the claim file")


class TestStoppedDecoder(Confirming):
    """A photo that cannot be read just now is neither left out nor a fault of ours."""

    def setUp(self):
        super().setUp()
        self.photo = keep_evidence(
            person=self.people.tomas,
            at=AT,
            upload=SimpleUploadedFile("a.jpg", grainy(7)),
            client_id=uuid4(),
            kind="damage",
            shipment=self.stage.shipment,
        ).evidence

    def asked(self):
        stopped = renditions.DecoderStoppedError("killed")
        with patch.object(renditions, "_run_child", side_effect=stopped):
            return self.client.get(self.at("build_packet"))

    def test_one_that_was_not_read_yet_is_waited_for(self):
        answer = self.asked()
        self.assertContains(answer, "could not be read just now", status_code=503)
        assert "Retry-After" in answer
        assert self.client.get(self.at("build_packet")).status_code == 200

    def test_one_whose_copy_is_gone_is_waited_for(self):
        exhibits = self.client.get(self.at("build_packet")).context["draft"].content
        assert [len(one.source) for one in exhibits.exhibits] == [1]
        renditions.rendition_path(self.photo.original_id, 1600).unlink()
        self.assertContains(self.asked(), "could not be read just now", status_code=503)


class TestFacts(Confirming):
    def test_what_is_entered_is_printed(self):
        unit = self.stage.unit
        sent = self.facts(
            extent="partial",
            freight_class="92.5",
            inspect_at="Bay 4, weekdays 8 to 4, 319 555 0144",
            salvage_held="Riverside holds the deck shell. Sold: nothing.",
            repair_done="Begun March 12, 2026.",
            pay_to="Riverside Payables\nPO Box 9",
            is_only_claim="on",
            signer_name="Ida Blom",
            signer_title="Claims manager",
            signer_phone="319 555 0144",
            line_receipt="copy",
            **{f"condition_{unit.pk}": "new", "line_bill-of-lading": "indemnity"},
        )
        answer = self.client.post(self.at("file_facts"), sent)
        self.assertRedirects(answer, self.at("build_packet"))
        pages = self.words_of(self.client.get(self.at("packet_preview")))
        text = " ".join(pages)
        for said in (
            *(
                "Partial loss",
                "92.5",
                "Bay 4, weekdays",
                "Sold: nothing",
                "Begun March",
            ),
            *(
                "Riverside Payables PO Box 9",
                "No other claim for this loss",
                "New, in a",
            ),
            "Ida Blom, Claims manager, 319 555 0144",
            "Original bill of lading not held; indemnity agreement enclosed",
        ):
            assert said in text, said
        assert Event.objects.latest("sequence").kind == "claim.file-facts"
        assert report_now().first == []

    def test_only_what_was_certified_is_said(self):
        text = " ".join(self.words_of(self.client.get(self.at("packet_preview"))))
        assert "No other claim" not in text
        assert "Partial loss" not in text

    def test_a_changed_claim_is_read_first_and_what_was_typed_stays(self):
        sent = self.facts(extent="full")
        Claim.objects.filter(pk=self.claim.pk).update(version=9)
        answer = self.client.post(self.at("file_facts"), sent)
        self.assertContains(answer, "Someone changed this", status_code=422)
        assert answer.context["form"]["extent"].value() == "full"

    def test_an_unknown_choice_and_a_long_text_come_back(self):
        for field, value in (
            ("extent", "half"),
            ("line_receipt", "made-up"),
            ("freight_class", "1" * 9),
            ("stood_moves", "x" * 601),
        ):
            answer = self.client.post(
                self.at("file_facts"), self.facts(**{field: value})
            )
            assert answer.status_code == 422, field
            assert field in answer.context["form"].errors

    def test_the_next_claim_starts_with_what_is_alike_at_the_location(self):
        self.client.post(
            self.at("file_facts"),
            self.facts(signer_phone="319 555 0144", pay_to="Payables", extent="full"),
        )
        other = set_stage(self.people)
        later = claim_it(self.people, other)
        page = self.client.get(reverse("file_facts", args=[later.pk]))
        form = page.context["form"]
        assert form["signer_phone"].value() == "319 555 0144"
        assert form["pay_to"].value() == "Payables"
        assert form["extent"].value() == ""


class TestSuppliersClaim(Confirming):
    claimant = "supplier"

    def test_the_page_says_so_and_makes_the_hand_over(self):
        page = self.client.get(self.at("build_packet"))
        self.assertContains(page, "Not our claim.")
        self.assertContains(page, "Make the hand-over")
        self.assertContains(page, "Confirm and make the hand-over")
        self.assertNotContains(page, "make the claim file")
        assert self.client.post(self.at("build_packet"), self.seen()).status_code == 302
        packet = self.claim.packets.get()
        answer = self.client.get(reverse("packet", args=[packet.pk]))
        text = " ".join(self.words_of(answer))
        assert "is yours to file" in text
        for never in (
            "Our claim",
            "We claim payment",
            "Amount claimed",
            "Your claim number",
            "is liable",
            "claimant",
            "DRAFT",
        ):
            assert never not in text, never
        assert self.stage.unit.serial in text

    def test_its_letter_is_ours_and_goes_to_the_supplier(self):
        row = Claim.objects.select_related(
            "location", "shipment__carrier", "shipment__supplier", "shipment__location"
        ).get(pk=self.claim.pk)
        gathered = gather(row, person=self.people.mina, as_of=TODAY)
        content = packet_content(gathered, version=1, tree=tree_state(), checker="")
        assert content.edition == "hand-over"
        assert content.cover.addressee.name == row.shipment.supplier.name
        assert content.statement.claimant.name == row.location.name


class TestOurs(Confirming):
    def test_the_working_file_is_headed_so_and_holds_what_is_ours(self):
        pages = self.words_of(self.client.get(self.at("working_file")))
        assert all(
            "Working file. For our own desk. Not to be sent." in p for p in pages
        )
        text = " ".join(pages)
        for said in ("DEADLINES", "GAPS", "Who gets it", "Bill of lading is missing."):
            assert said in text, said
        assert text.count("Nothing here is legal advice.") == 1
        assert text.count("Actual loss, unless") == 1

    def test_its_chronology_is_in_order_of_time(self):
        """What was recorded later about an earlier moment stands in its place."""
        early = Mock(sequence=9, at=AT - timedelta(days=3), zone=UTC, sentence="Early.")
        late = Mock(sequence=1, at=AT, zone=UTC, sentence="Late.")
        for item in (early, late):
            item.detail, item.who = "", "Rosa"
        with patch(
            "claims.queries.packet.working.story_of", return_value=[late, early]
        ):
            told = working_content(self.claim, as_of=TODAY).chronology
        assert [event.what for event in told] == ["Early.", "Late."]

    def test_accounting_reads_it_and_others_do_not(self):
        self.client.force_login(self.people.abel)
        assert self.client.get(self.at("working_file")).status_code == 200
        self.client.force_login(self.people.rosa)
        assert self.client.get(self.at("working_file")).status_code == 403

    def test_opposing_arguments_wait_for_a_counsel_on_record(self):
        answer = self.client.get(self.at("arguments"), follow=True)
        self.assertRedirects(answer, self.at("counsel"))
        self.assertContains(answer, "only at the request of counsel")
        page = self.client.get(self.at("counsel"))
        sent = {"version": page.context["form"]["version"].value(), "on": "2026-03-12"}
        answer = self.client.post(self.at("counsel"), sent)
        self.assertContains(answer, "Enter who asked", status_code=422)
        answer = self.client.post(self.at("counsel"), sent | {"name": "Ada Fen"})
        self.assertRedirects(answer, self.at("counsel"))
        pages = self.words_of(self.client.get(self.at("arguments")))
        headed = "Prepared at the request of counsel: Ada Fen, Thu 12 Mar 2026."
        assert all(headed in page for page in pages)
        assert Event.objects.latest("sequence").kind == "claim.counsel"

    def test_none_of_it_is_in_the_claim_file(self):
        Claim.objects.filter(pk=self.claim.pk).update(
            counsel_name="Ada Fen", counsel_asked_on=TODAY
        )
        text = " ".join(self.words_of(self.client.get(self.at("packet_preview"))))
        for never in ("Ada Fen", "Opposing", "Working file"):
            assert never not in text
