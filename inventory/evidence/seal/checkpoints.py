"""Signing the root of the tree with a key of the house, and checking such a signature.

The key lies outside the data folder: whoever can rewrite the database and all its
hashes cannot make a checkpoint of what they made of it.
"""

import os
from base64 import b64decode, b64encode
from binascii import Error as Base64Error
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.evidence.seal.register import TreeState
from inventory.rules.evidence.signed_notes import (
    ED25519,
    Checkpoint,
    Note,
    NoteError,
    PublicKey,
    Signature,
    checked_name,
    read_checkpoint,
    read_note,
)

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

_PRIVATE = "PRIVATE+KEY"


@dataclass(frozen=True)
class HouseKey:
    """The key that signs, and the one that others check with."""

    public: PublicKey
    private: "Ed25519PrivateKey"

    def __str__(self) -> str:
        seed = ED25519 + self.private.private_bytes_raw()
        name, key_id = self.public.name, self.public.key_id.hex()
        return f"{_PRIVATE}+{name}+{key_id}+{b64encode(seed).decode()}"


def new_key(name: str) -> HouseKey:
    """Return a key made now. Raise NoteError for a name that a note cannot hold."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
        Ed25519PrivateKey,
    )

    return _of_private(checked_name(name), Ed25519PrivateKey.generate())


def write_key(path: Path, key: HouseKey) -> None:
    """Write the key into a file of its own, readable by its owner alone.

    Raise FileExistsError rather than replace one: what it signed could no longer be
    told from what another signed.
    """
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "w", encoding="utf-8") as file:
        file.write(f"{key}\n")
        file.flush()
        os.fsync(file.fileno())


def read_key(path: Path) -> HouseKey:
    """Return the key in this file. Raise NoteError and OSError."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
        Ed25519PrivateKey,
    )

    text = path.read_text(encoding="utf-8").strip()
    name, _, rest = text.removeprefix(f"{_PRIVATE}+").partition("+")
    try:
        data = b64decode(rest.partition("+")[2], validate=True)
        private = Ed25519PrivateKey.from_private_bytes(data.removeprefix(ED25519))
    except (Base64Error, ValueError) as error:
        raise NoteError(f"{path} has no key of this program.") from error
    return _of_private(name, private)


def signed_checkpoint(state: TreeState, key: HouseKey) -> str:
    """Return the checkpoint of this state of the tree as a signed note."""
    text = Checkpoint(key.public.name, state.size, state.root).text
    raw = key.private.sign(text.encode())
    one = Signature(key.public.name, key.public.key_id, raw)
    return str(Note(text, (one,)))


def checked_checkpoint(text: str, key: PublicKey) -> Checkpoint:
    """Return the checkpoint that this key signed.

    Raise NoteError where it did not, or where the log it names is another's. Other
    keys' signatures beside it are passed over, as the note's format asks.
    """
    note = read_note(text)
    signed = [one for one in note.signatures if one.key_id == key.key_id]
    if not any(is_signed(note.text, one, key) for one in signed):
        raise NoteError(f"The key {key.name} did not sign this checkpoint.")
    found = read_checkpoint(note.text)
    if found.origin != key.name:
        raise NoteError(f"This is a checkpoint of {found.origin}, not of {key.name}.")
    return found


def is_signed(text: str, signature: Signature, key: PublicKey) -> bool:
    """Return whether this key signed the text."""
    from cryptography.exceptions import InvalidSignature  # noqa: PLC0415
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
        Ed25519PublicKey,
    )

    try:
        Ed25519PublicKey.from_public_bytes(key.raw).verify(signature.raw, text.encode())
    except InvalidSignature:
        return False
    return signature.name == key.name


def _of_private(name: str, private: "Ed25519PrivateKey") -> HouseKey:
    return HouseKey(PublicKey(name, private.public_key().public_bytes_raw()), private)
