"""Signed notes and checkpoints of the tree, in the text that others can check.

A note is lines of text, an empty line, and lines of signatures; a checkpoint is a note
that names a log, the number of its events and their root. Source: C2SP, "signed-note"
and "tlog-checkpoint" (https://c2sp.org/signed-note, https://c2sp.org/tlog-checkpoint).
The arithmetic of the signature itself, Ed25519 (RFC 8032), is not here.
"""

import re
from base64 import b64decode, b64encode
from binascii import Error as Base64Error
from dataclasses import dataclass
from hashlib import sha256

ED25519 = b"\x01"
SIGNED_PART = "\n\n— "
"""How the signatures of a note begin."""
_SIGNATURE = re.compile(r"— ([^\s+]+) ([A-Za-z0-9+/=]+)")
_KEY_NAME = re.compile(r"[^\s+]{1,200}")
_HASH_SIZE = 32


class NoteError(ValueError):
    """A text is no note, key or checkpoint; the message says why."""


@dataclass(frozen=True)
class PublicKey:
    """Whose signature it is: a name without blanks or plus signs, and 32 bytes."""

    name: str
    raw: bytes

    @property
    def key_id(self) -> bytes:
        """Return the four bytes that a signature names its key by."""
        return sha256(self.name.encode() + b"\n" + ED25519 + self.raw).digest()[:4]

    def __str__(self) -> str:
        coded = b64encode(ED25519 + self.raw).decode()
        return f"{self.name}+{self.key_id.hex()}+{coded}"


@dataclass(frozen=True)
class Signature:
    """One line of signature: the key's name and id, and the 64 bytes."""

    name: str
    key_id: bytes
    raw: bytes


@dataclass(frozen=True)
class Note:
    """What was signed, its last line ended, and by whom."""

    text: str
    signatures: tuple[Signature, ...]

    def __str__(self) -> str:
        lines = [
            f"— {one.name} {b64encode(one.key_id + one.raw).decode()}\n"
            for one in self.signatures
        ]
        return f"{self.text}\n{''.join(lines)}"


@dataclass(frozen=True)
class Checkpoint:
    """A log, how many events it holds, and their root (RFC 6962) in hex."""

    origin: str
    size: int
    root: str

    @property
    def text(self) -> str:
        """Return what is signed."""
        coded = b64encode(bytes.fromhex(self.root)).decode()
        return f"{self.origin}\n{self.size}\n{coded}\n"


def checked_name(name: str) -> str:
    """Return a key's name. Raise NoteError for one with blanks or plus signs."""
    if not _KEY_NAME.fullmatch(name):
        raise NoteError(
            "A key's name has no blanks and no plus sign. Take a web address without "
            "its scheme, such as dock.example/house."
        )
    return name


def read_public_key(text: str) -> PublicKey:
    """Return the key of ``name+id+key``. Raise NoteError where it is none."""
    name, _, rest = text.strip().partition("+")
    named, _, coded = rest.partition("+")
    data = _decoded(coded)
    if not name or data[:1] != ED25519 or len(data) != 1 + _HASH_SIZE:
        raise NoteError("This is no Ed25519 key in the form name+id+key.")
    key = PublicKey(name, data[1:])
    if key.key_id.hex() != named:
        raise NoteError("The id of this key does not belong to it: it was mistyped.")
    return key


def read_note(text: str) -> Note:
    """Return the note. Raise NoteError where it is none."""
    said, gap, signed = text.rpartition("\n\n")
    lines = signed.splitlines()
    if not gap or not lines or not text.endswith("\n"):
        raise NoteError("This file is no signed note.")
    found = [_SIGNATURE.fullmatch(line) for line in lines]
    if not all(found):
        raise NoteError("A line of signature in this file cannot be read.")
    signatures = tuple(
        Signature(one[1], data[:4], data[4:])
        for one in found
        if one and (data := _decoded(one[2]))
    )
    return Note(f"{said}\n", signatures)


def read_checkpoint(text: str) -> Checkpoint:
    """Return the checkpoint of a note's text. Raise NoteError where it is none."""
    lines = text.split("\n")
    if len(lines) < 4 or not lines[0] or not re.fullmatch(r"0|[1-9]\d*", lines[1]):
        raise NoteError("This note is no checkpoint of a log.")
    root = _decoded(lines[2])
    if len(root) != _HASH_SIZE:
        raise NoteError("The root in this checkpoint is no SHA-256.")
    return Checkpoint(lines[0], int(lines[1]), root.hex())


def _decoded(text: str) -> bytes:
    try:
        return b64decode(text, validate=True)
    except (Base64Error, ValueError) as error:
        raise NoteError("A base64 text in it cannot be read.") from error
