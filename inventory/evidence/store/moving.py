"""Moving all originals from the home in use to another; nothing is ever removed.

Each is copied and read back there; what is there whole is not copied again, so a move
that was killed goes on where it stopped.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from django.conf import settings
from django.db import transaction

from inventory.evidence.store.durable import pieces_in
from inventory.evidence.store.homes import ChangedOnTheWayError, Home, home_at
from inventory.evidence.store.turns import take_turn
from inventory.models import Original

Told = Callable[[int], None]


class MoveError(Exception):
    """Nothing was switched; the message says why."""


@dataclass(frozen=True)
class Moved:
    """How many originals are at the other home, and how many were copied now."""

    there: int
    copied: int


def move_originals(to: str, *, switch: bool, told: Told = lambda _: None) -> Moved:
    """Copy every original to the home of this name, and then use the one there alone.

    The site may be running. The last few are copied under the turn of those who write
    rows, and the former home takes no more from then on: so no row can name bytes that
    were left behind. Without ``switch`` it is a copy, and both stay as they are.
    ``told`` is given the number so far. Raise MoveError, StoreError, ValueError.
    """
    source, target = home_at(settings.EVIDENCE_HOME), home_at(to)
    _require_own_way(source, to)
    seen: set[str] = set()
    copied = _copy_new(source, target, seen, told)
    if not switch:
        copied += _copy_unlisted(source, target, seen)
        return Moved(len(seen), copied)
    with transaction.atomic():
        take_turn()
        copied += _copy_new(source, target, seen, told)
        copied += _copy_unlisted(source, target, seen)
        source.close_for(to)
        target.reopen()
    return Moved(len(seen), copied)


def _require_own_way(source: Home, to: str) -> None:
    if to == settings.EVIDENCE_HOME:
        raise MoveError(f"The originals are at {to} already. Nothing was done.")
    moved_to = source.moved_to()
    if moved_to not in ("", to):
        raise MoveError(
            f"The originals were moved from {settings.EVIDENCE_HOME} to {moved_to}. "
            f"Set EVIDENCE_HOME={moved_to}, then move from there."
        )


def _copy_new(source: Home, target: Home, seen: set[str], told: Told) -> int:
    """Copy what was not seen before; return how many were not there yet."""
    copied = 0
    for sha256 in source.names():
        if sha256 not in seen:
            copied += _copy(source, target, sha256)
            seen.add(sha256)
            told(len(seen))
    return copied


def _copy(source: Home, target: Home, sha256: str) -> bool:
    """Copy one original unless it is there whole; return whether it was copied."""
    if target.exists(sha256) and _is_whole(target, sha256):
        return False
    with source.open(sha256) as file:
        size = file.seek(0, 2)
        file.seek(0)
        try:
            target.keep(pieces_in(file), limit=size, expected=sha256)
        except ChangedOnTheWayError as error:
            raise MoveError(_damaged(sha256, "has changed")) from error
    if not _is_whole(target, sha256):
        raise MoveError(
            f"Original {sha256} did not arrive as it was sent. Nothing was switched. "
            "See to the home it was moved to, then move again."
        )
    return True


def _is_whole(home: Home, sha256: str) -> bool:
    digest = hashlib.sha256()
    with home.open(sha256) as file:
        for piece in pieces_in(file):
            digest.update(piece)
    return digest.hexdigest() == sha256


def _copy_unlisted(source: Home, target: Home, seen: set[str]) -> int:
    """Copy what rows name and the home did not list; return how many were not there.

    A store's listing may come after its objects (OpenStack Swift's may by hours).
    Raise MoveError where a row names bytes that the former home does not have.
    """
    copied = 0
    for sha256 in Original.objects.values_list("pk", flat=True).iterator():
        if sha256 in seen:
            continue
        try:
            copied += _copy(source, target, sha256)
        except FileNotFoundError as error:
            raise MoveError(_damaged(sha256, "is missing")) from error
        seen.add(sha256)
    return copied


def _damaged(sha256: str, how: str) -> str:
    return (
        f"Original {sha256} {how} on this site. Nothing was switched. Restore it from "
        "a backup, run verify, then move again."
    )
