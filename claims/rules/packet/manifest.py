"""The list of a claim file's originals, for a machine to read and the carrier to check.

Each original is named with its SHA-256, the sealed record of its upload, and the
path from that record to the root printed in the claim file (RFC 6962, 2.1.1).
"""

import json
from dataclasses import dataclass

MANIFEST_NAME = "manifest.json"
CHECKER_NAME = "check_packet.py"
FORMAT = "packet-manifest/1"

_ENDINGS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
    "image/heic": "heic",
    "application/pdf": "pdf",
}


@dataclass(frozen=True)
class SealedRecord:
    """One event as it was sealed, its number, and its path of hashes in hex."""

    sequence: int
    body: str
    path: tuple[str, ...]


@dataclass(frozen=True)
class ManifestEntry:
    """One original: its number in the list of evidence, and its proof.

    ``sealed`` is None where it was saved after the tree that the claim file states.
    """

    number: str
    evidence: str
    sha256: str
    size: int
    file: str
    sealed: SealedRecord | None


@dataclass(frozen=True)
class Manifest:
    """The originals of one claim file over one tree of events."""

    size: int
    root: str
    originals: tuple[ManifestEntry, ...]


def original_name(number: int, sha256: str, media_type: str) -> str:
    """Return the file name of an original: its number, its hash, its type's ending."""
    return f"{number:03d}-{sha256}.{_ENDINGS.get(media_type, 'bin')}"


def manifest_text(manifest: Manifest, *, title: str, version: str, as_of: str) -> str:
    """Return the list as canonical JSON: keys sorted, no spaces, unescaped letters.

    It begins with the key ``as_of``, by which it is found in the claim file's PDF.
    """
    value = {
        "as_of": as_of,
        "format": FORMAT,
        "originals": [_entry(one) for one in manifest.originals],
        "title": title,
        "tree": {
            "definition": "RFC 6962 section 2.1, SHA-256; a leaf is the SHA-256 of "
            "the sealed record's UTF-8 text",
            "root": manifest.root,
            "size": manifest.size,
        },
        "version": version,
    }
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def _entry(one: ManifestEntry) -> dict[str, object]:
    sealed = one.sealed and {
        "sequence": one.sealed.sequence,
        "body": one.sealed.body,
        "path": list(one.sealed.path),
    }
    return {
        "number": one.number,
        "evidence": one.evidence,
        "sha256": one.sha256,
        "size": one.size,
        "file": one.file,
        "sealed": sealed,
    }


def in_groups(text: str, length: int = 4) -> str:
    """Return a hash in groups that are easy to read: "5dc9 da79 a706 ..."."""
    return " ".join(text[at : at + length] for at in range(0, len(text), length))
