"""What OpenStack Swift does in its own way, and what the home of originals makes of it.

Swift 2.30 with s3api, as Debian 12 packages it. Each test first shows what Swift does.
"""

import hashlib
from datetime import UTC, datetime

import pytest

from inventory.evidence.store import bucket, bucket_home, home_checks, homes
from inventory.evidence.store import originals as store
from tests import buckets

pytestmark = pytest.mark.swift

DATA = b"original bytes" * 5_000
NAME = hashlib.sha256(DATA).hexdigest()


def keep(data=DATA):
    return store.store_original([data], limit=10**6)


def asked(server, method):
    return [one for one in server.asked if one.startswith(method) and NAME in one]


def refusal(act, **words):
    from botocore.exceptions import ClientError

    with pytest.raises(ClientError) as raised:
        getattr(bucket.client(), act)(**words)
    return bucket.code_of(raised.value)


@pytest.fixture(autouse=True)
def unknown(monkeypatch):
    """Nothing is known of it yet."""
    monkeypatch.setattr(bucket_home, "_unconditional", set())


@pytest.fixture
def place(swift_bucket):
    """Bucket and key of the original, as a client names them."""
    home = homes.home()
    return {"Bucket": home.address.bucket, "Key": home._key(NAME)}


def test_it_refuses_a_condition_and_is_looked_into_first(swift_bucket, swift, place):
    code = refusal("put_object", **place, Body=DATA, IfNoneMatch="*")
    assert code in bucket_home._UNKNOWN

    keep()
    assert len(asked(swift, "PUT")) == 3  # this test's, the refused one, the one kept
    swift.asked.clear()
    keep()
    assert asked(swift, "PUT") == []
    assert keep(b"another").size == 7
    assert len([one for one in swift.asked if one.startswith("PUT")]) == 1


def test_it_passes_over_the_checksum_and_compares_the_signed_one(
    swift_bucket, swift, place
):
    """So what arrives wrong is refused there, before it is kept."""
    wrong = bucket_home._in_base64("0" * 64)
    bucket.client().put_object(**place, Body=DATA, ChecksumSHA256=wrong)
    head = bucket.client().head_object(**place, ChecksumMode="ENABLED")
    assert "ChecksumSHA256" not in head
    bucket.client().delete_object(**place)

    swift.faults.append(buckets.Fault("PUT", buckets.wrong_bytes_in, path=NAME))
    assert refusal("put_object", **place, Body=DATA) in bucket_home._AGAIN
    assert swift_bucket.files() == {}


def test_what_it_keeps_is_read_back(swift_bucket, swift):
    keep()

    assert asked(swift, "GET")
    assert swift_bucket.files() == {f"{NAME[:2]}/{NAME}": DATA}


def test_it_has_no_object_lock_and_would_keep_the_words_in_stead_of_the_bytes(
    swift_bucket, place, settings
):
    settings.EVIDENCE_HOME = buckets.make_bucket(ObjectLockEnabledForBucket=True)
    keep()
    name = homes.home().address.bucket
    bucket.client().put_object_retention(
        **place | {"Bucket": name},
        Retention={
            "Mode": "GOVERNANCE",
            "RetainUntilDate": datetime(2030, 1, 1, tzinfo=UTC),
        },
    )
    assert not store.is_intact(NAME)

    settings.EVIDENCE_LOCK_DAYS = 30
    (fault,), _ = home_checks.home_state()
    assert "no object lock" in fault
    with pytest.raises(store.StoreUnavailableError, match="has no object lock"):
        keep()
    settings.EVIDENCE_LOCK_DAYS = 0
    keep()
    assert store.is_intact(NAME)


def test_it_keeps_versions_where_they_are_turned_on(swift_bucket, place):
    name = place["Bucket"]
    assert "Versioning is off" in home_checks.home_state()[1][0]
    bucket.client().put_bucket_versioning(
        Bucket=name, VersioningConfiguration={"Status": "Enabled"}
    )
    assert home_checks.home_state() == ([], [])

    keep()
    swift_bucket.take(NAME)
    assert not store.exists(NAME)
    (kept,) = bucket.client().list_object_versions(Bucket=name)["Versions"]
    found = bucket.client().get_object(**place, VersionId=kept["VersionId"])
    assert found["Body"].read() == DATA
