"""Signed notes against published examples.

The note of "PeterNeumann" is the example of Go's package golang.org/x/mod/sumdb/note
(from memory; a signature that was misremembered could not verify). The keys and the
signature of an empty message are test 1 of RFC 8032, section 7.1. The form of a
checkpoint follows C2SP tlog-checkpoint; the example is built from its rules by hand.
"""

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from inventory.evidence.seal.checkpoints import (
    HouseKey,
    checked_checkpoint,
    is_signed,
    new_key,
    read_key,
    signed_checkpoint,
    write_key,
)
from inventory.evidence.seal.register import TreeState
from inventory.rules.evidence.chain import tree_root
from inventory.rules.evidence.signed_notes import (
    Note,
    NoteError,
    PublicKey,
    Signature,
    checked_name,
    read_checkpoint,
    read_note,
    read_public_key,
)

NEUMANN = "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW"
NEUMANN_PRIVATE = (
    "PRIVATE+KEY+PeterNeumann+c74f20a3+AYEKFALVFGyNhPJEMzD1QIDr+Y7hfZx09iUvxdXHKDFz"
)
SAID = (
    "If you think cryptography is the answer to your problem,\n"
    "then you don't know what your problem is.\n"
)
SIGNED = (
    f"{SAID}\n"
    "— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqf"
    "qdngotpRZb6KE6RyyBwJnAM=\n"
)
EMPTY_ROOT = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
"""RFC 6962, section 2.1: the hash of an empty list is the SHA-256 of an empty string."""


def test_the_published_key_is_read_and_written_again():
    assert str(read_public_key(NEUMANN)) == NEUMANN


def test_the_published_signature_is_genuine():
    note = read_note(SIGNED)

    assert note.text == SAID
    assert is_signed(note.text, note.signatures[0], read_public_key(NEUMANN))
    assert str(note) == SIGNED


def test_the_published_private_key_signs_the_same_bytes(tmp_path):
    path = tmp_path / "key"
    path.write_text(NEUMANN_PRIVATE)
    key = read_key(path)

    assert str(key.public) == NEUMANN
    assert str(key) == NEUMANN_PRIVATE
    raw = key.private.sign(SAID.encode())
    one = Signature(key.public.name, key.public.key_id, raw)
    assert str(Note(SAID, (one,))) == SIGNED


def test_ed25519_is_that_of_rfc_8032():
    seed = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
    public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    signature = (
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
        "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
    )
    private = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(seed))

    assert private.public_key().public_bytes_raw().hex() == public
    assert private.sign(b"").hex() == signature


@pytest.fixture
def key():
    private = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
    public = PublicKey("dock.example/house", private.public_key().public_bytes_raw())
    return HouseKey(public, private)


def test_a_checkpoint_is_origin_size_and_root_each_on_a_line(key):
    """C2SP tlog-checkpoint: origin, decimal size, base64 of the root."""
    note = signed_checkpoint(TreeState(0, EMPTY_ROOT), key)

    lines = note.split("\n")
    assert lines[:4] == [
        "dock.example/house",
        "0",
        "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=",
        "",
    ]
    assert lines[4].startswith("— dock.example/house ")
    assert tree_root([]).hex() == EMPTY_ROOT


def test_what_was_signed_is_read_back(key):
    note = signed_checkpoint(TreeState(7, EMPTY_ROOT), key)

    found = checked_checkpoint(note, key.public)

    assert (found.origin, found.size, found.root) == (key.public.name, 7, EMPTY_ROOT)


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("\n7\n", "\n8\n", "did not sign"),
        ("47DE", "57DE", "did not sign"),
        ("— dock.example/house", "— dock.example/other", "did not sign"),
        ("— dock", "- dock", "cannot be read"),
        ("\n\n", "\n", "no signed note"),
    ],
)
def test_what_was_changed_afterwards_is_refused(key, old, new, why):
    note = signed_checkpoint(TreeState(7, EMPTY_ROOT), key)
    assert old in note

    with pytest.raises(NoteError, match=why):
        checked_checkpoint(note.replace(old, new, 1), key.public)


def test_another_key_of_the_same_name_is_refused(key):
    note = signed_checkpoint(TreeState(7, EMPTY_ROOT), new_key(key.public.name))

    with pytest.raises(NoteError, match="did not sign"):
        checked_checkpoint(note, key.public)


def test_another_s_signature_beside_ours_is_passed_over(key):
    """C2SP signed-note: signatures by unknown keys are ignored."""
    note = signed_checkpoint(TreeState(7, EMPTY_ROOT), key)
    theirs = signed_checkpoint(TreeState(7, EMPTY_ROOT), new_key("witness.example"))

    both = note + theirs.rpartition("\n\n")[2]

    assert checked_checkpoint(both, key.public).size == 7


def test_a_checkpoint_of_another_log_is_refused(key):
    text = f"other.example\n7\n{'47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='}\n"
    raw = key.private.sign(text.encode())
    one = Signature(key.public.name, key.public.key_id, raw)

    with pytest.raises(NoteError, match=r"of other\.example, not of dock\.example"):
        checked_checkpoint(str(Note(text, (one,))), key.public)


@pytest.mark.parametrize(
    "text", ["", "a\n", "a\n-1\nAA==\n", "a\n01\nAA==\n", "a\n1\nAA==\n", "\n1\nAA==\n"]
)
def test_what_is_no_checkpoint_is_refused(text):
    with pytest.raises(NoteError):
        read_checkpoint(text)


@pytest.mark.parametrize("name", ["", "two words", "a+b", "line\nbreak"])
def test_a_name_that_a_note_cannot_hold_is_refused(name):
    with pytest.raises(NoteError):
        checked_name(name)


def test_a_mistyped_key_is_told():
    with pytest.raises(NoteError, match="mistyped"):
        read_public_key(NEUMANN.replace("c74f20a3", "c74f20a4"))


def test_a_key_s_file_is_its_owner_s_alone_and_never_replaced(tmp_path, key):
    path = tmp_path / "key"
    write_key(path, key)

    assert path.stat().st_mode & 0o777 == 0o600
    assert str(read_key(path).public) == str(key.public)
    with pytest.raises(FileExistsError):
        write_key(path, key)
