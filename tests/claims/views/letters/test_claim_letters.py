"""A letter about a claim: chosen, previewed, confirmed, sent, proven, and then frozen."""

import io
from datetime import UTC, date, datetime, timedelta
from unittest.mock import patch

import pytest
from django.db import IntegrityError, connection, transaction
from django.urls import reverse
from pypdf import PdfReader

from claims.actions.claim.steps import (
    record_acknowledgement,
    record_receipt,
    send_claim,
)
from claims.actions.letters import claim_letters
from claims.actions.letters.claim_letters import CHANGED
from claims.models import ClaimLetter
from claims.rules.letters.content import DRAFT
from inventory.evidence.store.originals import path_of
from inventory.models import Event, SentDocument
from inventory.views.core.clock import today_at
from tests import making
from tests.claims.stage import claim_it, set_stage, step
from tests.house.access_rows import make_packet
from tests.people import cast
from tests.prepared_once import PreparedOnce
from tests.verifying import behind_the_back, report_now

pytestmark = pytest.mark.database

ENCLOSED = {"documents": "Signed delivery receipt"}


class Letters(PreparedOnce):
    kind = "documents"

    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)
        making.make_evidence(shipment=cls.claim.shipment, kind="receipt")
        send_claim(claim=cls.claim, how="post", step=step(cls.people, cls.claim))
        cls.claim.refresh_from_db()
        cls.prepare_class()

    def setUp(self):
        self.client.force_login(self.people.mina)
        self.today = today_at(self.claim.location)

    def at(self, name="write_claim_letter", kind=None):
        return reverse(name, args=[self.claim.pk, kind or self.kind])

    def preview(self, **typed):
        return self.client.post(self.at(), ENCLOSED | typed)

    def shown(self, answer=None):
        """Return what the button of the preview sends."""
        form = (answer or self.preview()).context["form"]
        return {name: form[name].value() for name in ("answers", "digest", "once")}

    def confirm(self, sent=None):
        return self.client.post(self.at(), sent or self.shown())

    def confirmed(self):
        self.confirm()
        return ClaimLetter.objects.get()

    def act(self, letter, name, **data):
        letter.refresh_from_db()
        page = reverse(name, args=[letter.pk])
        return self.client.post(page, {"version": letter.version, **data})

    def send(self, letter, how="portal"):
        return self.act(letter, "send_claim_letter", on=self.today, how=how)

    def receive(self, letter, how="portal", words="Confirmation 4711"):
        return self.act(
            letter, "receive_claim_letter", on=self.today, how=how, words=words
        )

    def words_of(self, answer):
        pages = PdfReader(io.BytesIO(answer.content)).pages
        return [" ".join(page.extract_text().split()) for page in pages]


class TestConfirming(Letters):
    def test_the_pages_before_it_save_nothing(self):
        listed = self.client.get(reverse("claim_letters", args=[self.claim.pk]))
        assert listed.status_code == 200
        assert self.client.get(self.at()).status_code == 200
        assert self.preview().status_code == 200
        assert not ClaimLetter.objects.exists()
        assert not SentDocument.objects.exists()

    def test_what_was_shown_is_what_is_frozen_and_its_event_has_the_hash(self):
        asked = "Send <b>both</b> sides."
        page = self.preview(asked_on="2026-03-16", asked_for=asked)
        text = page.context["text"]
        sent = self.shown(page)
        letter_page = self.client.post(self.at(), sent)
        letter = ClaimLetter.objects.get()
        assert letter_page.url == reverse("claim_letter", args=[letter.pk])
        assert (letter.text, letter.digest) == (text, sent["digest"])
        assert (letter.number, letter.state) == (1, "confirmed")
        assert asked in letter.text
        assert '"asked_on":"2026-03-16"' in letter.choices
        event = Event.objects.get(kind="letter.confirmed")
        assert event.data["sha"] == letter.digest
        assert event.actor == self.people.mina
        pdf = self.client.get(reverse("claim_letter_pdf", args=[letter.pk]))
        (words,) = self.words_of(pdf)
        for paragraph in letter.text.split("\n\n"):
            for line in paragraph.splitlines():
                assert line.removeprefix("> ").split(": ")[-1] in words, line
        assert "DRAFT" not in words
        shown = self.client.get(letter_page.url)
        self.assertContains(shown, "claims@plainsway.example")
        self.assertContains(shown, "Send &lt;b&gt;both&lt;/b&gt; sides.")

    def test_the_draft_says_so_on_its_page_and_is_kept_nowhere(self):
        sent = {"answers": self.shown()["answers"]}
        answer = self.client.post(self.at("claim_letter_draft"), sent)
        assert all(DRAFT in words for words in self.words_of(answer))
        assert not SentDocument.objects.exists()
        refused = self.client.post(self.at("claim_letter_draft"), {"answers": "x=y"})
        assert refused.status_code == 302

    def test_two_posts_make_one_letter(self):
        sent = self.shown()
        first, second = self.confirm(sent), self.confirm(sent)
        assert first.url == second.url
        assert ClaimLetter.objects.count() == 1

    def test_the_same_letter_from_two_tabs_is_read_again_before_a_second(self):
        one, other = self.shown(), self.shown()
        self.confirm(one)
        refused = self.confirm(other)
        self.assertContains(refused, CHANGED, status_code=422)
        assert ClaimLetter.objects.count() == 1

    def test_what_others_recorded_while_it_waited_for_the_chain_counts(self):
        def changed_while_we_waited():
            place = type(self.claim.location).objects.get(pk=self.claim.location_id)
            place.address = "9 Other Road"
            place.save()

        sent = self.shown()
        with patch.object(claim_letters, "lock_chain", changed_while_we_waited):
            refused = self.confirm(sent)
        self.assertContains(refused, CHANGED, status_code=422)
        assert not ClaimLetter.objects.exists()

    def test_a_claim_that_changed_since_is_shown_again_before_it_is_confirmed(self):
        sent = self.shown()
        record_receipt(claim=self.claim, step=step(self.people, self.claim))
        record_acknowledgement(
            claim=self.claim, carrier_number="PW-88", step=step(self.people, self.claim)
        )
        refused = self.confirm(sent)
        self.assertContains(refused, CHANGED, status_code=422)
        self.assertContains(refused, "PW-88", status_code=422)
        assert not ClaimLetter.objects.exists()
        again = self.shown(refused)
        assert again["digest"] != sent["digest"]
        assert again["once"] == sent["once"]
        self.confirm(again)
        assert "PW-88" in ClaimLetter.objects.get().text

    def test_what_is_no_longer_possible_is_not_confirmed(self):
        sent = self.shown()
        with patch("claims.queries.letters.claim_letters._documents", return_value=()):
            refused = self.confirm(sent)
        self.assertContains(refused, "no longer possible", status_code=422)
        assert not ClaimLetter.objects.exists()

    def test_a_change_between_drawing_and_freezing_is_refused_too(self):
        from claims.actions.letters import claim_letters as actions

        real = actions.begin_sending

        def meanwhile(*documents):
            real(*documents)
            type(self.claim).objects.filter(pk=self.claim.pk).update(
                carrier_claim_number="PW-99"
            )

        sent = self.shown()
        with patch.object(actions, "begin_sending", meanwhile):
            refused = self.confirm(sent)
        self.assertContains(refused, CHANGED, status_code=422)
        assert not ClaimLetter.objects.exists()

    def test_a_choice_of_nothing_or_of_what_is_not_on_file_is_refused(self):
        self.assertContains(
            self.client.post(self.at(), {}), "at least one document", status_code=422
        )
        self.assertContains(
            self.preview(documents="Bill of lading"), "on file", status_code=422
        )

    def test_an_unknown_kind_is_not_found(self):
        for name in ("write_claim_letter", "claim_letter_draft"):
            assert self.client.post(self.at(name, "ransom")).status_code == 404

    def test_the_claim_leads_to_the_letter_that_is_due(self):
        """Sent months ago and never proven to be received: the tracer is due."""
        claim = self.client.get(reverse("claim", args=[self.claim.pk]))

        self.assertContains(claim, "Write the tracer, ")
        letters = reverse("claim_letters", args=[self.claim.pk])
        button = f'<a class="btn btn-primary" href="{letters}">Write the letter</a>'
        self.assertContains(claim, button, html=True)

    def test_a_letter_that_is_not_due_says_why(self):
        page = self.client.get(self.at(kind="reminder"))
        self.assertContains(page, "no proof yet that the carrier received")
        self.assertNotContains(page, "Confirm the letter")
        sent = self.shown()
        refused = self.client.post(self.at(kind="reminder"), sent)
        assert refused.status_code == 422
        assert not ClaimLetter.objects.exists()


class TestRoles(Letters):
    def test_only_a_manager_of_the_location_writes_sends_proves_and_drops(self):
        sent = self.shown()
        letter = self.confirmed()
        pages = [self.at(), self.at("claim_letter_draft")] + [
            reverse(name, args=[letter.pk])
            for name in (
                *("send_claim_letter", "receive_claim_letter", "drop_claim_letter"),
            )
        ]
        for person, status in (
            *(
                ("rosa", 403),
                ("tomas", 403),
                ("abel", 403),
                ("nell", 404),
                ("ada", 404),
            ),
        ):
            self.client.force_login(getattr(self.people, person))
            for page in pages:
                assert self.client.post(page, sent).status_code == status, (
                    person,
                    page,
                )
        letter.refresh_from_db()
        assert letter.state == "confirmed"
        assert ClaimLetter.objects.count() == 1

    def test_accounting_reads_what_it_may_not_write(self):
        letter = self.confirmed()
        self.client.force_login(self.people.abel)
        for page in (
            reverse("claim_letters", args=[self.claim.pk]),
            reverse("claim_letter", args=[letter.pk]),
            reverse("claim_letter_pdf", args=[letter.pk]),
        ):
            assert self.client.get(page).status_code == 200
        self.assertNotContains(
            self.client.get(reverse("claim_letter", args=[letter.pk])),
            "Drop the letter",
        )


class TestSending(Letters):
    def test_sent_and_proven_and_the_words_stay(self):
        letter = self.confirmed()
        text = letter.text
        assert self.send(letter).status_code == 302
        assert self.receive(letter).status_code == 302
        letter.refresh_from_db()
        assert letter.state == "received"
        assert letter.receipt_words == "Portal's confirmation: Confirmation 4711"
        assert letter.text == text
        kinds = list(
            Event.objects.filter(kind__startswith="letter.")
            .order_by("sequence")
            .values_list("kind", flat=True)
        )
        assert kinds == ["letter.confirmed", "letter.sent", "letter.received"]

    def test_a_portal_without_a_number_proves_nothing(self):
        letter = self.confirmed()
        self.send(letter)
        refused = self.receive(letter, words="It said thanks.")
        self.assertContains(refused, "number of the portal", status_code=422)

    def test_no_proof_before_sending_and_no_sending_before_confirming(self):
        letter = self.confirmed()
        self.assertContains(self.receive(letter), "not been sent yet", status_code=422)
        early = self.act(
            letter,
            "send_claim_letter",
            on=self.today - timedelta(days=1),
            how="email",
        )
        self.assertContains(early, "before the letter was confirmed", status_code=422)

    def test_a_letter_that_was_never_sent_is_dropped_with_a_reason_and_stays(self):
        letter = self.confirmed()
        assert self.act(letter, "drop_claim_letter", reason="").status_code == 422
        self.act(letter, "drop_claim_letter", reason="They called.")
        letter.refresh_from_db()
        assert letter.state == "dropped"
        listed = self.client.get(reverse("claim_letters", args=[self.claim.pk]))
        self.assertContains(listed, "Dropped, not sent")
        assert self.send(letter).status_code == 422

    def test_a_letter_that_was_sent_is_not_dropped(self):
        letter = self.confirmed()
        self.send(letter)
        refused = self.act(letter, "drop_claim_letter", reason="Too late.")
        self.assertContains(refused, "already been sent", status_code=422)


class TestEnclosingTheClaim(Letters):
    kind = "tracer"

    def preview(self, **_typed):
        return self.client.get(self.at())

    def test_the_proof_of_a_tracer_leads_to_the_proof_of_the_claim(self):
        blocked = self.client.get(self.at())
        self.assertContains(blocked, "Make the claim file first")
        make_packet(self.claim, self.people.mina)
        letter = self.confirmed()
        assert "Not a second claim" in letter.text
        self.send(letter)
        answer = self.receive(letter, how="signature", words="Signed by L. Parr")
        assert answer.url == reverse("record_receipt", args=[self.claim.pk])


class TestFrozen(Letters):
    def prepare_once(self):
        self.letter = self.confirmed()

    def test_the_database_lets_nobody_change_what_was_confirmed(self):
        others = {
            "DateField": date(2001, 1, 1),
            "DateTimeField": datetime(2001, 1, 1, tzinfo=UTC),
            "JSONField": {"another": "choice"},
        }
        for name in ClaimLetter.FIXED:
            field = ClaimLetter._meta.get_field(name)
            is_text = field.get_internal_type() in {"CharField", "TextField"}
            other = others.get(field.get_internal_type(), "x" if is_text else 7)
            with pytest.raises(IntegrityError), transaction.atomic():
                ClaimLetter._base_manager.update(**{field.attname: other})
        with pytest.raises(IntegrityError), transaction.atomic():
            self.run_sql("DELETE FROM claims_claimletter")

    def run_sql(self, sql):
        with connection.cursor() as cursor:
            cursor.execute(sql)

    def test_a_changed_letterhead_changes_no_letter(self):
        page = reverse("claim_letter_pdf", args=[self.letter.pk])
        first = self.client.get(page).content
        self.claim.location.name = "Another name"
        self.claim.location.save()
        with patch("claims.documents.letters.letter_pdf") as draw:
            again = self.client.get(page).content
        draw.assert_not_called()
        assert again == first

    def test_verify_finds_changed_words_and_a_changed_file(self):
        sent = SentDocument.objects.get(kind="claim-letter")
        path = path_of(sent.original_id)
        changed = f"Original {sent.original_id} no longer has its hash."
        assert not self.faults_of(self.letter)
        assert changed not in self.faults()

        behind_the_back("UPDATE claims_claimletter SET text = %s", "We give up.")
        self.addCleanup(path.write_bytes, path.read_bytes())
        path.chmod(0o600)
        path.write_bytes(b"%PDF-1.4 something else")

        assert self.faults_of(self.letter)
        assert changed in self.faults()
        lost = self.client.get(reverse("claim_letter_pdf", args=[self.letter.pk]))
        assert lost.status_code == 404

    def faults(self):
        with patch("inventory.evidence.seal.verification.SHOWN", 10_000):
            return report_now().first

    def faults_of(self, row):
        return [said for said in self.faults() if f"claimletter {row.pk}" in said]
