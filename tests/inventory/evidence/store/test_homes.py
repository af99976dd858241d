"""The same of every home: kept under their hash, whole, never overwritten, never lost."""

import hashlib
import io
import time
from datetime import UTC, datetime, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command

from inventory.actions.core.sent_documents import begin_sending, store_document
from inventory.actions.core.versions import RefusedError
from inventory.actions.evidence.keeping import BadUploadError, keep_evidence
from inventory.evidence.store import homes, sweep
from inventory.evidence.store import originals as store
from inventory.evidence.store.originals_zip import ChangedOriginalError, zip_pieces
from inventory.models import Evidence, Original
from tests.crash.uploads import AT, photo
from tests.making import make_delivery, some_person
from tests.verifying import report_now

DATA = b"original bytes"
NAME = hashlib.sha256(DATA).hexdigest()
ELSEWHERE = "s3://another/one"


def keep(data=DATA, limit=1_000, expected=""):
    return store.store_original([data[:5], data[5:]], limit=limit, expected=expected)


class TestBytes:
    def test_they_lie_under_their_sha256(self, at_hand):
        assert keep() == homes.Stored(NAME, 14)
        assert at_hand.files() == {f"{NAME[:2]}/{NAME}": DATA}
        assert b"".join(store.read_original(NAME)) == DATA
        assert store.is_intact(NAME)

    def test_the_same_twice_are_one(self, at_hand):
        assert keep() == keep()
        assert list(at_hand.files().values()) == [DATA]

    def test_none_at_all_are_kept_too(self, at_hand):
        assert keep(b"").size == 0
        assert store.intact_bytes(hashlib.sha256(b"").hexdigest()) == b""

    def test_too_many_are_refused_and_nothing_stays(self, at_hand):
        with pytest.raises(store.TooLargeError, match="It was not saved"):
            keep(limit=10)
        assert at_hand.files() == {}

    def test_others_than_the_sender_names_are_not_kept(self, at_hand):
        with pytest.raises(store.ChangedOnTheWayError, match="upload was incomplete"):
            keep(expected="0" * 64)
        assert at_hand.files() == {}
        assert keep(expected=NAME.upper()).sha256 == NAME

    def test_a_file_of_them_has_a_descriptor_and_starts_at_the_first(self, at_hand):
        keep()
        with store.open_original(NAME) as file:
            assert file.fileno() > 0
            assert file.read(8) == b"original"

    def test_a_missing_one_is_missing_and_nothing_else(self, at_hand):
        assert not store.exists(NAME)
        assert not store.is_intact(NAME)
        assert store.intact_bytes(NAME) is None
        with pytest.raises(FileNotFoundError):
            store.open_original(NAME)

    def test_a_changed_one_is_noticed(self, at_hand):
        keep()
        at_hand.put(NAME, b"Original bytes")

        assert not store.is_intact(NAME)
        assert store.intact_bytes(NAME) is None
        with pytest.raises(ChangedOriginalError):
            list(zip_pieces([], [("a.pdf", NAME)]))

    def test_names_come_in_order_and_by_age(self, at_hand):
        kept = sorted(keep(b"%d" % n).sha256 for n in range(7))
        at_hand.age(kept[3], time.time() - 1000)

        assert list(homes.home().names()) == kept
        assert list(homes.home().names(older_than=time.time() - 500)) == [kept[3]]

    def test_what_is_set_aside_is_moved_and_not_deleted(self, at_hand):
        keep()
        homes.home().set_aside(NAME)

        assert not store.exists(NAME)
        assert list(homes.home().names()) == []
        assert at_hand.aside(NAME) == DATA

    def test_a_home_that_was_left_takes_nothing_and_gives_all(self, at_hand):
        keep()
        homes.home().close_for(ELSEWHERE)

        with pytest.raises(store.StoreUnavailableError, match=ELSEWHERE):
            keep(b"later")
        assert store.is_intact(NAME)
        assert not store.may_be_named(NAME)
        homes.home().reopen()
        assert store.may_be_named(NAME)
        assert keep(b"later").size == 5


@pytest.mark.database
@pytest.mark.django_db
class TestEvidence:
    def test_it_is_kept_and_verified(self, at_hand):
        sent = photo("kept")
        row = send(sent)

        assert row.original_id == sent.sha256
        assert store.intact_bytes(sent.sha256) == sent.data
        assert send(sent) == row
        assert report_now().first == []
        assert report_now().originals == 1

    def test_a_verification_names_what_is_missing_or_changed(self, at_hand):
        sent = photo("kept")
        send(sent)
        at_hand.put(sent.sha256, sent.data[:-1] + b"x")
        assert report_now().first == [f"Original {sent.sha256} no longer has its hash."]
        at_hand.take(sent.sha256)
        assert "missing" in report_now().first[0]

    def test_an_old_orphan_is_set_aside_and_a_row_is_never_without_its_bytes(
        self, at_hand
    ):
        sent = photo("kept")
        send(sent)
        orphan = keep().sha256
        for name in (sent.sha256, orphan):
            at_hand.age(name, time.time() - 90_000)

        swept = sweep.sweep(at=datetime.now(UTC))

        assert swept.orphans == (orphan,)
        assert store.is_intact(sent.sha256)
        assert at_hand.aside(orphan) == DATA
        at_hand.age(sent.sha256, time.time())
        assert sweep.sweep(at=datetime.now(UTC) + timedelta(days=9)).orphans == ()

    def test_what_is_swept_between_bytes_and_row_is_stored_again(
        self, at_hand, monkeypatch
    ):
        sent, asked = photo("swept"), []

        def gone_once(sha256, _real=store.may_be_named):
            if not asked:
                homes.home().set_aside(sha256)
            asked.append(sha256)
            return _real(sha256)

        monkeypatch.setattr(store, "may_be_named", gone_once)
        send(sent)

        assert len(asked) == 2
        assert store.is_intact(sent.sha256)

    def test_after_the_house_moved_nothing_is_written_and_all_is_told(self, at_hand):
        homes.home().close_for(ELSEWHERE)

        with pytest.raises(BadUploadError, match="was not saved") as refused:
            send(photo("late"))
        assert refused.value.status == 507
        with pytest.raises(RefusedError, match="nothing was recorded"):
            store_document(b"%PDF a letter")
        assert not Original.objects.exists()

    def test_a_document_is_not_recorded_once_the_house_moved(self, at_hand):
        document = store_document(b"%PDF a letter")
        begin_sending(document)
        homes.home().close_for(ELSEWHERE)

        with pytest.raises(RefusedError, match="Nothing was recorded"):
            begin_sending(document)

    @pytest.mark.slow
    def test_the_command_verify_reads_every_original(self, at_hand):
        sent = photo("kept")
        send(sent)
        at_hand.take(sent.sha256)
        out = io.StringIO()
        with pytest.raises(CommandError, match="faults found"):
            call_command("verify", stdout=out)
        assert f"Original {sent.sha256} is missing" in out.getvalue()


def send(sent):
    return keep_evidence(
        person=some_person(),
        at=AT,
        upload=SimpleUploadedFile("paper.pdf", sent.data),
        client_id=sent.number,
        kind="paper",
        delivery=Evidence.objects.get(client_id=sent.number).delivery
        if Evidence.objects.filter(client_id=sent.number)
        else make_delivery(),
    ).evidence
