"""Speaking to a bucket: its address, the client, and what its refusals mean here.

boto3 is imported where it is used, so that a house with a folder never loads it.
"""

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from urllib.parse import urlsplit

from inventory.evidence.store.homes import BUCKET, HomeUnreachableError

CONNECT_SECONDS, READ_SECONDS = 3, 15
TRIES = 4
MISSING = frozenset({"404", "NoSuchKey", "NotFound"})
"""What stores say of an object that is not there. A missing bucket is told otherwise."""

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Address:
    """A bucket, and the prefix below which our objects lie: empty, or ending in /."""

    bucket: str
    prefix: str

    def __str__(self) -> str:
        return f"{BUCKET}{self.bucket}/{self.prefix}".rstrip("/")


def address_of(text: str) -> Address:
    """Read ``s3://bucket/prefix``. Raise ValueError where it names no bucket."""
    parts = urlsplit(text)
    if not text.startswith(BUCKET) or not parts.netloc or parts.query or parts.fragment:
        raise ValueError(f"{text} is no address of a bucket. Write s3://bucket/prefix.")
    prefix = parts.path.strip("/")
    return Address(parts.netloc, f"{prefix}/" if prefix else "")


def client() -> Any:  # noqa: ANN401 - boto3 makes its classes as it runs
    """Return this process's client; one is made anew in a forked child."""
    return _client(os.getpid(), endpoint())


def endpoint() -> str:
    """Return the address of the store, or nothing for the provider's own."""
    names = ("AWS_ENDPOINT_URL_S3", "AWS_ENDPOINT_URL")
    return next((os.environ[name] for name in names if os.environ.get(name)), "")


@lru_cache(maxsize=4)
def _client(_process: int, url: str) -> Any:  # noqa: ANN401
    import boto3  # noqa: PLC0415
    from botocore.config import Config  # noqa: PLC0415

    return boto3.session.Session().client(
        "s3",
        endpoint_url=url or None,
        config=Config(
            connect_timeout=CONNECT_SECONDS,
            read_timeout=READ_SECONDS,
            retries={"mode": "standard", "total_max_attempts": TRIES},
            # Other checksums than our own are not known to every store.
            request_checksum_calculation="when_required",
            response_checksum_validation="when_required",
            s3={
                # A store of one's own seldom has a name for each bucket.
                "addressing_style": "path" if url else "auto",
                # It compares the bytes with the SHA-256 that is signed, whatever
                # other checksums it passes over. So does OpenStack Swift.
                "payload_signing_enabled": True,
            },
        ),
    )


def code_of(error: Any) -> str:  # noqa: ANN401
    """Return the code with which a store refused."""
    return str(error.response.get("Error", {}).get("Code", ""))


def is_passing(error: Any) -> bool:  # noqa: ANN401
    """Return whether a store refused for now, and not because it does not know that."""
    status = error.response.get("ResponseMetadata", {}).get("HTTPStatusCode", 0)
    return bool(status >= 500 and status != 501)


@contextmanager
def asking(address: Address) -> Iterator[None]:
    """Tell every failure of the store in a sentence: HomeUnreachableError.

    FileNotFoundError where the object is missing, and only then.
    """
    from botocore.exceptions import BotoCoreError, ClientError  # noqa: PLC0415
    from urllib3.exceptions import HTTPError  # noqa: PLC0415

    try:
        yield
    except ClientError as error:
        code = code_of(error)
        if code in MISSING:
            raise FileNotFoundError(f"Not in {address}.") from error
        log.warning("%s refused: %s", address, error)
        raise HomeUnreachableError(
            f"The storage for photos and documents ({address}) refused: {code}. "
            "Nothing was saved. Call your administrator, and try again later."
        ) from error
    except (BotoCoreError, HTTPError) as error:  # the second of half a refusal
        log.warning("%s did not answer: %s", address, error)
        raise HomeUnreachableError(
            f"The storage for photos and documents ({address}) did not answer. "
            "Nothing was saved. Call your administrator, and try again later."
        ) from error
