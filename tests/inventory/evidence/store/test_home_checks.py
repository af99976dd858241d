"""What is wrong with a home is said in one sentence, at the start and to a monitor."""

import pytest
from django.core.checks import run_checks
from django.db import connection

from config.checks import check_bucket, reasons_not_to_serve
from config.health import storage_takes_writes
from inventory.evidence.store import home_checks, homes
from inventory.evidence.store.homes import HomeUnreachableError
from tests import buckets

WRONG = [
    ("s3://", 0, "GOVERNANCE", "no address of a bucket"),
    ("s3:///only/a/prefix", 0, "GOVERNANCE", "no address of a bucket"),
    ("bucket", 0, "GOVERNANCE", "Write folder, or s3://bucket/prefix"),
    ("folder", 30, "GOVERNANCE", "needs a bucket"),
    ("s3://a/b", -1, "GOVERNANCE", "number of days"),
    ("s3://a/b", 30, "FOREVER", "GOVERNANCE or COMPLIANCE"),
]


@pytest.mark.parametrize("case", WRONG)
def test_each_wrong_setting_is_one_sentence(settings, case):
    settings.EVIDENCE_HOME, settings.EVIDENCE_LOCK_DAYS = case[:2]
    settings.EVIDENCE_LOCK_MODE = case[2]

    (told,) = [one for one in run_checks() if one.id == "dock.E003"]
    assert case[3] in told.msg


@pytest.mark.parametrize("name", ["folder", "s3://dock", "s3://dock/a/b/"])
def test_right_settings_say_nothing(settings, name):
    settings.EVIDENCE_HOME = name

    assert home_checks.wrong_home_settings() == []


@pytest.mark.database
@pytest.mark.django_db
class TestBucket:
    def test_one_that_is_there_may_be_served_and_is_told_to_keep_versions(
        self, in_bucket
    ):
        assert reasons_not_to_serve(connection) == []
        (hint,) = check_bucket()
        assert "Versioning is off" in hint.msg
        assert storage_takes_writes()

    def test_one_that_is_missing_is_not_served(self, in_bucket, settings):
        settings.EVIDENCE_HOME = "s3://no-such-bucket-here"

        (reason,) = reasons_not_to_serve(connection)
        assert "There is no bucket no-such-bucket-here" in reason

    def test_a_lock_that_is_asked_for_must_be_offered(self, in_bucket, settings):
        settings.EVIDENCE_LOCK_DAYS = 30
        (reason,) = reasons_not_to_serve(connection)
        assert "has no object lock" in reason
        assert "Swift does not" in reason

    def test_with_lock_and_versions_nothing_is_said(self, moto_bucket, settings):
        settings.EVIDENCE_LOCK_DAYS = 30
        settings.EVIDENCE_HOME = buckets.make_bucket(ObjectLockEnabledForBucket=True)
        assert home_checks.home_state() == ([], [])

    def test_a_home_that_was_left_is_not_served(self, in_bucket):
        homes.home().close_for("folder")

        (reason,) = reasons_not_to_serve(connection)
        assert "Set EVIDENCE_HOME=folder" in reason

    def test_one_that_does_not_answer_is_served_and_told_to_a_monitor(
        self, in_bucket, monkeypatch
    ):
        def away(*_words, **_more):
            raise HomeUnreachableError("The storage did not answer.")

        monkeypatch.setattr(homes.home().__class__, "_ask", away)
        monkeypatch.setattr(homes.home().__class__, "lacks", away)
        assert reasons_not_to_serve(connection) == []
        assert home_checks.home_state() == ([], ["The storage did not answer."])
        with pytest.raises(OSError, match="did not answer"):
            storage_takes_writes()
