"""Claim files under the hash of their bytes, as copies to open by a path.

The claim files themselves are originals. Those from before that are here alone until
``keep_sent_documents`` takes them in.
"""

import hashlib
import os
import secrets
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings


def packet_path(sha256: str) -> Path:
    """Return the path of the claim file with this hash, whether or not it exists."""
    return Path(settings.PACKET_ROOT) / f"{sha256}.pdf"


def keep_packet(data: bytes) -> str:
    """Store a claim file's bytes, whole or not at all, and return their SHA-256."""
    sha256 = hashlib.sha256(data).hexdigest()
    path = packet_path(sha256)
    path.parent.mkdir(mode=0o750, parents=True, exist_ok=True)
    temporary = path.with_suffix(f".{secrets.token_hex(6)}")
    temporary.write_bytes(data)
    os.replace(temporary, path)  # noqa: PTH105 - one call, atomic on POSIX
    return sha256


def read_packet(sha256: str) -> bytes | None:
    """Return the stored bytes, or None where they are missing or have changed."""
    try:
        data = packet_path(sha256).read_bytes()
    except OSError:
        return None
    return data if hashlib.sha256(data).hexdigest() == sha256 else None


def kept_packets() -> Iterator[tuple[str, Path]]:
    """Yield hash and path of each complete claim file, in order."""
    for path in sorted(Path(settings.PACKET_ROOT).glob("*.pdf")):
        data = read_packet(path.stem)
        if data is not None:
            yield path.stem, path
