"""What a store on the network does wrong: nothing acknowledged is lost by it.

The codes and status lines are those of Amazon S3's API reference, "Error responses";
If-None-Match answers 412, and 409 while another writes (PutObject, "Conditional writes").
"""

import hashlib
import io
import time
from datetime import UTC, datetime, timedelta

import pytest

from config.errors import AWAY, unavailable_because
from inventory.evidence.store import bucket, bucket_home, homes
from inventory.evidence.store import originals as store
from tests import buckets
from tests.buckets import Fault

DATA = b"original bytes" * 50_000
NAME = hashlib.sha256(DATA).hexdigest()


@pytest.fixture(autouse=True)
def quick(request, monkeypatch):
    """Wait a moment where the program would wait for seconds; Swift writes to a disk."""
    from botocore.retries import standard

    in_swift = request.node.get_closest_marker("swift")
    monkeypatch.setattr(bucket, "READ_SECONDS", 15 if in_swift else 1)
    monkeypatch.setattr(standard.ExponentialBackoff, "delay_amount", lambda *_: 0.01)
    bucket._client.cache_clear()
    yield
    bucket._client.cache_clear()


def keep(data=DATA):
    return store.store_original([data], limit=10**6)


def put_fault(server, happen, times=1, method="PUT"):
    fault = Fault(method, happen, times=times, path="/evidence/")
    server.faults.append(fault)
    return fault


PASSING = [
    ("PUT", buckets.slow_down, 2),
    ("PUT", buckets.broken_off, 2),
    ("PUT", buckets.lost_answer, 1),
    ("PUT", buckets.no_answer, 1),
    ("PUT", buckets.wrong_bytes_in, 1),
    ("HEAD", buckets.slow_down, 2),
    ("HEAD", buckets.broken_off, 1),
    ("GET", buckets.slow_down, 2),
    ("GET", buckets.half_out, 1),
    ("GET", buckets.half_in_chunks, 2),
    ("GET", buckets.wrong_bytes_out, 1),
]


@pytest.mark.slow
@pytest.mark.parametrize(("method", "happen", "times"), PASSING)
def test_a_fault_that_passes_ends_in_whole_bytes(
    in_bucket, server, method, happen, *, times
):
    keep(b"warm")  # the fault is no first request's
    fault = put_fault(server, happen, times, method)

    assert keep().sha256 == NAME
    assert fault.times == 0
    server.faults.clear()
    assert in_bucket.files()[f"{NAME[:2]}/{NAME}"] == DATA


def test_a_store_that_kept_half_is_found_out(moto_bucket, moto):
    """Swift is spared: it signs for the size too, and refuses."""
    put_fault(moto, buckets.half_in)

    assert keep().sha256 == NAME
    assert moto_bucket.files()[f"{NAME[:2]}/{NAME}"] == DATA


LASTING = [
    ("PUT", buckets.slow_down),
    ("PUT", buckets.broken_off),
    ("PUT", buckets.wrong_bytes_in),
    ("PUT", buckets.half_in),
    ("HEAD", buckets.broken_off),
    ("GET", buckets.half_out),
    ("GET", buckets.half_in_chunks),
    ("GET", buckets.slow_down),
]


@pytest.mark.parametrize(("method", "happen"), LASTING)
def test_a_fault_that_lasts_is_a_sentence_and_never_an_answer(
    in_bucket, server, method, happen
):
    put_fault(server, happen, 99, method)

    with pytest.raises(store.StoreUnavailableError) as refused:
        keep()
    assert "aved" in str(refused.value)
    assert "administrator" in str(refused.value)
    server.faults.clear()
    assert keep().sha256 == NAME
    assert store.is_intact(NAME)


@pytest.mark.parametrize("happen", [buckets.half_out, buckets.slow_down])
def test_a_store_that_does_not_answer_is_never_called_a_loss(in_bucket, server, happen):
    keep()
    put_fault(server, happen, 99, "GET")

    for ask in (store.intact_bytes, store.is_intact, store.open_original):
        with pytest.raises(store.HomeUnreachableError) as raised:
            ask(NAME)
        assert unavailable_because(raised.value) is AWAY
    server.faults.clear()
    assert store.is_intact(NAME)


def test_wrong_bytes_that_stay_on_the_way_out_are_a_change(in_bucket, server):
    keep()
    put_fault(server, buckets.wrong_bytes_out, 99, "GET")

    assert not store.is_intact(NAME)


def test_bytes_that_rotted_are_put_right_by_who_sends_them_again(in_bucket):
    keep()
    in_bucket.put(NAME, b"rotten")

    assert keep().sha256 == NAME
    assert store.is_intact(NAME)
    assert in_bucket.aside(NAME) == b"rotten"


def test_a_bucket_that_is_missing_is_said_in_one_sentence(in_bucket, settings):
    settings.EVIDENCE_HOME = "s3://no-such-bucket-here/evidence"

    with pytest.raises(store.HomeUnreachableError, match="NoSuchBucket"):
        keep()


def test_a_store_that_knows_no_condition_is_asked_for_it_once(
    moto_bucket, moto, monkeypatch
):
    monkeypatch.setattr(bucket_home, "_unconditional", set())

    def unknown(_below, environ, start):
        environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0))
        body = b"<Error><Code>NotImplemented</Code></Error>"
        start("501 Not Implemented", [("Content-Length", str(len(body)))])
        return [body]

    fault = put_fault(moto, unknown)
    keep()
    assert fault.times == 0
    assert moto_bucket.files()[f"{NAME[:2]}/{NAME}"] == DATA
    moto_bucket.put(NAME, b"rotten")
    keep()
    assert store.is_intact(NAME)
    assert moto_bucket.aside(NAME) == b"rotten"


def test_a_checksum_that_the_store_names_spares_the_second_reading(
    in_bucket, server, monkeypatch
):
    def named(below, environ, start):
        import base64

        told = base64.b64encode(bytes.fromhex(NAME)).decode()
        return below(
            environ,
            lambda status, headers, *rest: start(
                status, [*headers, ("x-amz-checksum-sha256", told)], *rest
            ),
        )

    put_fault(server, named, 99, "HEAD")
    keep()

    assert not [one for one in server.asked if one.startswith("GET") and NAME in one]
    assert [one for one in server.asked if one.startswith("PUT") and NAME in one]


def test_the_bytes_are_signed_for_over_https_too(moto_bucket, settings, monkeypatch):
    """The store compares them (Signature Version 4, "x-amz-content-sha256")."""
    from botocore.awsrequest import AWSResponse
    from urllib3 import HTTPResponse

    signed = []

    def kept(request, **_words):
        signed.append(request.headers["X-Amz-Content-SHA256"].decode())
        return AWSResponse(request.url, 200, {}, HTTPResponse(io.BytesIO()))

    monkeypatch.setenv("AWS_ENDPOINT_URL", "https://store.example")
    settings.EVIDENCE_LOCK_DAYS = 30  # with the MD5 that it wants, boto3 would not sign
    bucket.client().meta.events.register("before-send.s3.PutObject", kept)
    homes.home()._put(io.BytesIO(DATA), homes.Stored(NAME, len(DATA)))
    assert signed == [NAME]


def test_nothing_is_written_over_by_the_same_bytes(in_bucket, server):
    keep()
    before = homes.home()._head(homes.home()._key(NAME))["LastModified"]
    time.sleep(1.1)
    keep()

    assert homes.home()._head(homes.home()._key(NAME))["LastModified"] == before


class TestObjectLock:
    @pytest.fixture
    def locked(self, moto_bucket, settings):
        settings.EVIDENCE_HOME = buckets.make_bucket(ObjectLockEnabledForBucket=True)
        settings.EVIDENCE_LOCK_DAYS = 90
        return homes.home()

    def until(self, home):
        return home._head(home._key(NAME))["ObjectLockRetainUntilDate"]

    def test_each_original_is_locked_for_its_days(self, locked):
        keep()
        days = (self.until(locked) - datetime.now(UTC)) / timedelta(days=1)
        assert 89.9 < days <= 90
        assert locked._head(locked._key(NAME))["ObjectLockMode"] == "GOVERNANCE"

    def test_where_none_is_offered_nothing_is_put(self, moto_bucket, settings):
        settings.EVIDENCE_LOCK_DAYS = 90
        with pytest.raises(store.StoreUnavailableError, match="has no object lock"):
            keep()
        assert moto_bucket.files() == {}

    def test_a_store_that_cannot_say_now_is_not_called_one_without(
        self, locked, moto, monkeypatch
    ):
        monkeypatch.setattr(bucket_home, "_with_lock", set())
        name = locked.address.bucket
        moto.faults.append(Fault("GET", buckets.slow_down, times=99, path=f"/{name}"))
        with pytest.raises(store.HomeUnreachableError, match="SlowDown"):
            locked._require_lock()
        moto.faults.clear()
        assert locked.lacks() == ([], [])

    def test_no_version_of_it_can_be_removed(self, locked):
        from botocore.exceptions import ClientError

        keep()
        version = locked._head(locked._key(NAME))["VersionId"]
        with pytest.raises(ClientError, match="AccessDenied"):
            bucket.client().delete_object(
                Bucket=locked.address.bucket, Key=locked._key(NAME), VersionId=version
            )

    def test_what_was_there_before_is_locked_when_it_comes_again(
        self, locked, settings
    ):
        settings.EVIDENCE_LOCK_DAYS = 0
        keep()
        assert "ObjectLockMode" not in locked._head(locked._key(NAME))
        settings.EVIDENCE_LOCK_DAYS = 30
        keep()
        first = self.until(locked)
        settings.EVIDENCE_LOCK_DAYS = 60
        keep()
        assert self.until(locked) - first > timedelta(days=29)
        settings.EVIDENCE_LOCK_DAYS = 10
        keep()
        assert self.until(locked) - first > timedelta(days=29)
