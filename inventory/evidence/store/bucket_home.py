"""A bucket as the home of original bytes, one object for each, named by its hash.

The order of work is: hash the bytes into a local temporary file, put them under their
SHA-256 if nothing is there, read size and checksum back; only then may a row be written
and an answer given. A crash, or an answer that got lost, leaves nothing or an orphan.

A store that refuses a condition (OpenStack Swift) is asked first whether anything is
there: two who put the same bytes at once do no harm. One that names no checksum is
asked for the bytes.
"""

import base64
import hashlib
import logging
import re
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from typing import Any, BinaryIO, cast

from django.conf import settings

from inventory.evidence.store import bucket
from inventory.evidence.store.bucket import asking
from inventory.evidence.store.durable import PIECE, pieces_in
from inventory.evidence.store.homes import (
    HomeUnreachableError,
    Stored,
    StoreUnavailableError,
    refuse_other_bytes,
    too_large,
)

QUARANTINE = "quarantine/"
MOVED = "moved-to"
"""The object that names the home to which all originals were moved."""

_NAME = re.compile(r"[0-9a-f]{2}/([0-9a-f]{64})\Z")
_THERE = frozenset({"412", "PreconditionFailed"})
_AGAIN = frozenset(
    {
        # another writes at once
        *("409", "ConditionalRequestConflict", "OperationAborted"),
        # other bytes arrived than were sent
        *("BadDigest", "IncompleteBody", "XAmzContentSHA256Mismatch"),
    }
)
_UNKNOWN = frozenset({"501", "NotImplemented"})
_TRIES = 3

_unconditional: set[tuple[str, str]] = set()
"""Addresses and buckets that refused a condition once: they are not asked again."""
_with_lock: set[tuple[str, str]] = set()
"""Those found to have object lock. It cannot be taken from a bucket."""

log = logging.getLogger(__name__)


class _NoConditionsError(Exception):
    """The store does not know If-None-Match."""


class BucketHome:
    """Keeps originals below ``s3://bucket/prefix``. See ``homes.Home`` for each act."""

    def __init__(self, text: str) -> None:
        self.address = bucket.address_of(text)

    def keep(self, chunks: Iterable[bytes], *, limit: int, expected: str) -> Stored:
        """Keep the bytes durably and return their hash and size."""
        with _spool() as file:
            try:
                stored = _hashed_into(file, chunks, limit)
            except OSError as error:
                raise StoreUnavailableError(
                    "The disk could not take the file. It was not saved. Keep it on "
                    "your phone, call your administrator, and try again later."
                ) from error
            refuse_other_bytes(stored, expected)
            self._put_and_check(file, stored)
        return stored

    def open(self, sha256: str) -> BinaryIO:
        """Fetch an original into a file without a name; raise FileNotFoundError.

        Bytes that arrive with another hash are fetched again, and given at last: it
        is the reader who judges them.
        """
        file = cast("BinaryIO", tempfile.TemporaryFile(dir=_folder()))  # noqa: SIM115 - the caller's
        try:
            self._fetch(sha256, file)
        except BaseException:
            file.close()
            raise
        return file

    def exists(self, sha256: str) -> bool:
        """Return whether the original is here."""
        return self._head(self._key(sha256)) is not None

    def names(self, *, older_than: float | None = None) -> Iterator[str]:
        """Yield the hash of each original, or of each stored before a moment."""
        with asking(self.address):
            pages = bucket.client().get_paginator("list_objects_v2")
            for page in pages.paginate(
                Bucket=self.address.bucket, Prefix=self.address.prefix
            ):
                for one in page.get("Contents", []):
                    name = _NAME.match(one["Key"][len(self.address.prefix) :])
                    moment = one["LastModified"].timestamp()
                    if name and (older_than is None or moment < older_than):
                        yield name[1]

    def set_aside(self, sha256: str) -> None:
        """Copy the object into quarantine, look at the copy, then remove its name."""
        source = self._head(self._key(sha256))
        if source is None:
            return
        self._copy_aside(sha256)
        copy = self._head(f"{self.address.prefix}{QUARANTINE}{sha256}")
        if copy is None or copy["ContentLength"] != source["ContentLength"]:
            raise HomeUnreachableError(f"Original {sha256} could not be set aside.")
        self._ask("delete_object", Key=self._key(sha256))

    def sweep_unfinished(self, *, older_than: float) -> int:
        """Do nothing: an object is put whole, or not at all."""
        del older_than
        return 0

    def moved_to(self) -> str:
        """Return the home that all this was moved to, or nothing while it is in use."""
        try:
            got = self._ask("get_object", Key=f"{self.address.prefix}{MOVED}")
            with asking(self.address):
                return bytes(got["Body"].read()).decode()
        except FileNotFoundError:
            return ""

    def close_for(self, name: str) -> None:
        """Take no more bytes, durably: all of them are at that home."""
        self._ask("put_object", Key=f"{self.address.prefix}{MOVED}", Body=name.encode())

    def reopen(self) -> None:
        """Take bytes again, durably."""
        if self.moved_to():
            self._ask("delete_object", Key=f"{self.address.prefix}{MOVED}")

    def lacks(self) -> tuple[list[str], list[str]]:
        """Return what stands against using the bucket, and what would make it safer.

        Raise HomeUnreachableError where it gives no answer.
        """
        name = self.address.bucket
        try:
            with asking(self.address):
                bucket.client().head_bucket(Bucket=name)
        except FileNotFoundError:
            where = bucket.endpoint() or "the provider"
            return [f"There is no bucket {name} at {where}. Make it first."], []
        faults, hints = [], []
        if settings.EVIDENCE_LOCK_DAYS and not self._has_lock():
            faults.append(
                f"The bucket {name} has no object lock, which EVIDENCE_LOCK_DAYS asks "
                "for. Make a bucket with it, or set EVIDENCE_LOCK_DAYS to 0 where the "
                "store offers none (OpenStack Swift does not)."
            )
        if self._ask("get_bucket_versioning").get("Status") != "Enabled":
            hints.append(
                f"Versioning is off in the bucket {name}: an original that somebody "
                "removes or writes over there could not be brought back. Turn it on."
            )
        return faults, hints

    def _has_lock(self) -> bool:
        from botocore.exceptions import ClientError  # noqa: PLC0415

        if self._where in _with_lock:
            return True
        with asking(self.address):
            try:
                told = bucket.client().get_object_lock_configuration(
                    Bucket=self.address.bucket
                )
            except ClientError as error:
                if bucket.is_passing(error):
                    raise
                return False  # not there, or not known to this store
        found = told.get("ObjectLockConfiguration", {}).get("ObjectLockEnabled")
        if found == "Enabled":
            _with_lock.add(self._where)
        return self._where in _with_lock

    def _require_lock(self) -> None:
        """Raise StoreUnavailableError where a lock is asked for that is not offered.

        A store that knows none may take the words of the lock for the object itself,
        and keep them in its stead: Swift does.
        """
        if settings.EVIDENCE_LOCK_DAYS and not self._has_lock():
            raise StoreUnavailableError(
                "The storage for photos and documents has no object lock, which this "
                "house asks for. The file was not saved. Keep it on your phone and "
                "call your administrator, who runs check --deploy."
            )

    # -- one object ------------------------------------------------------------------

    @property
    def _where(self) -> tuple[str, str]:
        return bucket.endpoint(), self.address.bucket

    def _key(self, sha256: str) -> str:
        return f"{self.address.prefix}{sha256[:2]}/{sha256}"

    def _ask(self, act: str, **words: Any) -> Any:  # noqa: ANN401
        from urllib3.exceptions import HTTPError  # noqa: PLC0415

        with asking(self.address):
            asked = getattr(bucket.client(), act)
            for _ in range(_TRIES - 1):
                with suppress(HTTPError):  # half a refusal: boto3 does not ask again
                    return asked(Bucket=self.address.bucket, **words)
            return asked(Bucket=self.address.bucket, **words)

    def _head(self, key: str) -> Any:  # noqa: ANN401
        """Return what the store says of an object, or None where it is not there."""
        try:
            return self._ask("head_object", Key=key, ChecksumMode="ENABLED")
        except FileNotFoundError:
            return None

    def _put_and_check(self, file: BinaryIO, stored: Stored) -> None:
        self._require_lock()
        self._put_new(file, stored)
        if not self._holds(stored):
            # Other bytes under this name: ours go over them, since every row that
            # names them means ours. Never removed first: another may just have put
            # the right ones.
            with suppress(FileNotFoundError):
                self._copy_aside(stored.sha256)
            self._put(file, stored)
            if not self._holds(stored):
                raise HomeUnreachableError(
                    "The storage for photos and documents did not keep the file as it "
                    "was sent. It was not saved. Keep it on your phone, call your "
                    "administrator, and try again later."
                )
        self._lock(stored.sha256)

    def _put_new(self, file: BinaryIO, stored: Stored) -> None:
        """Put the bytes only where nothing lies under their hash yet."""
        if self._where not in _unconditional:
            try:
                self._put(file, stored, IfNoneMatch="*")
            except _NoConditionsError:
                _unconditional.add(self._where)
                log.info("%s takes no condition: looked into first.", self.address)
            else:
                return
        if not self.exists(stored.sha256):
            self._put(file, stored)

    def _put(self, file: BinaryIO, stored: Stored, **condition: str) -> None:
        """Put the bytes under their hash, on this condition if there is one.

        Raise _NoConditionsError where the store knows none.
        """
        from botocore.exceptions import ClientError  # noqa: PLC0415

        locked = _retention()
        if locked:  # S3 takes no retention without it
            locked["ContentMD5"] = _md5_of(file)
        with asking(self.address):
            for tried in range(_TRIES):
                file.seek(0)
                try:
                    bucket.client().put_object(
                        Bucket=self.address.bucket,
                        Key=self._key(stored.sha256),
                        Body=file,
                        ContentLength=stored.size,
                        ChecksumSHA256=_in_base64(stored.sha256),
                        **condition,
                        **locked,
                    )
                except ClientError as error:
                    code = bucket.code_of(error)
                    if code in _THERE:
                        return
                    if code in _UNKNOWN and condition:
                        raise _NoConditionsError from error
                    if code not in _AGAIN or tried == _TRIES - 1:
                        raise
                else:
                    return

    def _holds(self, stored: Stored) -> bool:
        """Return whether size and SHA-256 of what is kept are these."""
        head = self._head(self._key(stored.sha256))
        if head is None or head["ContentLength"] != stored.size:
            return False
        if head.get("ChecksumSHA256") == _in_base64(stored.sha256):
            return True
        with _spool() as file:  # the store names no SHA-256: ask for the bytes
            return self._fetch(stored.sha256, file) == stored.sha256

    def _fetch(self, sha256: str, file: BinaryIO) -> str:
        """Write the object's bytes into the file; return their SHA-256."""
        from botocore.exceptions import BotoCoreError  # noqa: PLC0415

        digest = hashlib.sha256()
        with asking(self.address):
            for tried in range(_TRIES):
                digest = hashlib.sha256()
                file.seek(0)
                file.truncate()
                try:
                    got = bucket.client().get_object(
                        Bucket=self.address.bucket, Key=self._key(sha256)
                    )
                    for piece in got["Body"].iter_chunks(PIECE):
                        digest.update(piece)
                        file.write(piece)
                except BotoCoreError:  # half a body
                    if tried == _TRIES - 1:
                        raise
                    continue
                if digest.hexdigest() == sha256:
                    break
        file.seek(0)
        return digest.hexdigest()

    def _copy_aside(self, sha256: str) -> None:
        self._ask(
            "copy_object",
            Key=f"{self.address.prefix}{QUARANTINE}{sha256}",
            CopySource={"Bucket": self.address.bucket, "Key": self._key(sha256)},
        )

    def _lock(self, sha256: str) -> None:
        """Let the retention of what was here before reach as far as today's."""
        wanted = _retention()
        if not wanted:
            return
        key = self._key(sha256)
        until = (self._head(key) or {}).get("ObjectLockRetainUntilDate")
        least = wanted["ObjectLockRetainUntilDate"] - timedelta(days=1)
        if until is None or until < least:
            self._ask(
                "put_object_retention",
                Key=key,
                Retention={
                    "Mode": wanted["ObjectLockMode"],
                    "RetainUntilDate": wanted["ObjectLockRetainUntilDate"],
                },
            )


def _folder() -> str:
    return str(settings.FILE_UPLOAD_TEMP_DIR)


@contextmanager
def _spool() -> Iterator[BinaryIO]:
    """Give a file on the local disk that nobody else sees and no crash leaves."""
    with tempfile.TemporaryFile(dir=_folder()) as file:
        yield cast("BinaryIO", file)


def _hashed_into(file: BinaryIO, chunks: Iterable[bytes], limit: int) -> Stored:
    digest, size = hashlib.sha256(), 0
    for chunk in chunks:
        size += len(chunk)
        if size > limit:
            raise too_large(limit)
        digest.update(chunk)
        file.write(chunk)
    file.flush()
    return Stored(digest.hexdigest(), size)


def _md5_of(file: BinaryIO) -> str:
    file.seek(0)
    digest = hashlib.md5(usedforsecurity=False)
    for piece in pieces_in(file):
        digest.update(piece)
    return base64.b64encode(digest.digest()).decode()


def _in_base64(sha256: str) -> str:
    return base64.b64encode(bytes.fromhex(sha256)).decode()


def _retention() -> dict[str, Any]:
    """Return the words that lock a new object, where the settings ask for it."""
    if not settings.EVIDENCE_LOCK_DAYS:
        return {}
    now = datetime.now(tz=UTC)  # noqa: TID251 - the store wants a date, not a length
    return {
        "ObjectLockMode": settings.EVIDENCE_LOCK_MODE,
        "ObjectLockRetainUntilDate": now + timedelta(days=settings.EVIDENCE_LOCK_DAYS),
    }
