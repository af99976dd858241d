"""Disposable pictures made from originals: upright, small, without EXIF or GPS.

A rendition that fails never touches the original. One that is missing, or that is not
the one whose hash is sealed, is made again from the original at the next read. What
goes on paper is only bytes whose hash is sealed.
"""

import hashlib
import json
import logging
import os
import secrets
import signal
import subprocess
import sys
import threading
from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.conf import settings

from inventory.evidence.pictures import decoder
from inventory.evidence.store import originals as store
from inventory.rules.core.text import clean_text

SIZES = (1600, 320)
HASH_COLUMNS = {1600: "large_sha256", 320: "small_sha256"}
"""The column of a reading that holds the hash of the rendition of each size."""

SECONDS = 25

log = logging.getLogger(__name__)

_at_once = threading.BoundedSemaphore(2)
_SCRIPT = Path(__file__).with_name("decode.py")


_STOPPED = {-signal.SIGTERM, -signal.SIGINT, -signal.SIGHUP, -signal.SIGKILL}
"""How a child ends that was stopped with its machine, whatever the picture is."""


class UnsealedPictureError(Exception):
    """A rendition that nothing seals yet: it is not printed. It can be shown."""


class DecoderStoppedError(Exception):
    """A picture that could not be decoded just now. It says nothing of the picture."""


@dataclass(frozen=True)
class Decoded:
    """What the child process could read: pixels, the camera's claims, trouble.

    ``pictures`` are its renditions in the order of SIZES, none where there is trouble,
    and ``hashes`` their SHA-256, empty then.
    """

    width: int | None = None
    height: int | None = None
    claims: dict[str, str] = field(default_factory=dict)
    brightness: int | None = None
    sharpness: int | None = None
    moves: bool = False
    trouble: str = ""
    decoder: str = ""
    hashes: tuple[str, ...] = ("",) * len(SIZES)
    pictures: tuple[bytes, ...] = field(default=(), repr=False)


def read_picture(sha256: str) -> Decoded:
    """Decode an original in a child process, store its renditions, return what it is.

    Never raises for a bad picture: ``trouble`` then names what went wrong. Raise
    DecoderStoppedError where the child could not start, or was stopped from outside.
    """
    try:
        facts, pictures = _run_child(sha256)
    except (FileNotFoundError, subprocess.TimeoutExpired, ValueError) as error:
        return Decoded(trouble=type(error).__name__)
    except subprocess.CalledProcessError as error:
        if error.returncode in _STOPPED:
            raise DecoderStoppedError(sha256) from error
        return Decoded(trouble=type(error).__name__)
    except OSError as error:
        raise DecoderStoppedError(sha256) from error
    _keep_all(sha256, pictures)
    return Decoded(
        width=facts.get("width"),
        height=facts.get("height"),
        claims=_clean(facts.get("claims") or {}),
        brightness=facts.get("brightness"),
        sharpness=facts.get("sharpness"),
        moves=bool(facts.get("moves")),
        trouble=facts.get("error", "") if not pictures else "",
        decoder=facts.get("decoder", ""),
        hashes=tuple(map(hash_of, pictures)) or Decoded.hashes,
        pictures=tuple(pictures),
    )


def _clean(claims: dict[str, str]) -> dict[str, str]:
    """Leave the camera's words without characters that no table or page can hold."""
    cleaned = {name: clean_text(words).strip() for name, words in claims.items()}
    return {name: words for name, words in cleaned.items() if words}


def rendition_path(sha256: str, size: int) -> Path:
    """Return the path of the rendition of this size (1600 or 320 px)."""
    if size not in SIZES:
        raise KeyError(size)
    return rendition_root() / sha256[:2] / f"{sha256}-{size}.jpg"


def rendition_root() -> Path:
    """Return the folder of renditions and of the pages of uploaded PDFs."""
    return Path(settings.RENDITION_ROOT)


def keep_page(sha256: str, number: int, data: bytes) -> str:
    """Keep a page of an uploaded PDF; return its path below the folder."""
    path = rendition_root() / sha256[:2] / f"{sha256}-page-{number}.pdf"
    if _stored(path) != data:
        _keep(path, data)
    return f"{path.parent.name}/{path.name}"


def shown_rendition(sha256: str, size: int, sealed: Collection[str]) -> bytes | None:
    """Return a rendition's bytes to show on a screen; None where none can be made.

    ``sealed`` are the hashes that readings sealed. It is the one on the disk where its
    hash is among them, or where nothing is sealed yet; else it is made again.
    """
    try:
        return _rendition(sha256, size, sealed)
    except DecoderStoppedError:
        return None


def _rendition(sha256: str, size: int, sealed: Collection[str]) -> bytes | None:
    """Return it likewise; raise DecoderStoppedError where none can be made just now."""
    data = _stored(rendition_path(sha256, size))
    if data is not None and (not sealed or hash_of(data) in sealed):
        return data
    made = read_picture(sha256).pictures
    if made and sealed and hash_of(made[SIZES.index(size)]) not in sealed:
        made = _made_as_before(sha256, size, sealed) or made
    return dict(zip(SIZES, made, strict=False)).get(size)


def _made_as_before(
    sha256: str, size: int, sealed: Collection[str]
) -> tuple[bytes, ...]:
    """Return the renditions that the version before made, where those are sealed."""
    try:
        _, pictures = _parted(_run_own_child(sha256, "former"))
    except (OSError, subprocess.SubprocessError, ValueError):
        return ()
    if not pictures or hash_of(pictures[SIZES.index(size)]) not in sealed:
        return ()
    _keep_all(sha256, pictures)
    return tuple(pictures)


def _keep_all(sha256: str, pictures: list[bytes]) -> None:
    for size, picture in zip(SIZES, pictures, strict=False):
        _keep(rendition_path(sha256, size), picture)


def sealed_rendition(sha256: str, size: int, sealed: Collection[str]) -> bytes | None:
    """Return a rendition's bytes to print; None where none can be made.

    Raise UnsealedPictureError where its hash is not sealed: ``ensure_readings`` seals
    it, and comes first. Raise DecoderStoppedError where it cannot be made just now: a
    document does without no photo because of that.
    """
    data = _rendition(sha256, size, sealed)
    if data is not None and hash_of(data) not in sealed:
        raise UnsealedPictureError(
            f"The copy of photo {sha256[:12]} is not sealed yet, so it cannot be "
            "printed. Nothing was made. Ask your administrator to run "
            "manage.py read_photos, then try again."
        )
    return data


def ensure_rendition(
    sha256: str, size: int, sealed: Collection[str] = ()
) -> Path | None:
    """Return the path of a rendition as ``shown_rendition`` gives it, or None."""
    data = shown_rendition(sha256, size, sealed)
    path = rendition_path(sha256, size)
    return path if data is not None and path.exists() else None


def hash_of(data: bytes) -> str:
    """Return the SHA-256 of these bytes, in hex."""
    return hashlib.sha256(data).hexdigest()


def _stored(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError:
        return None


def _run_child(sha256: str) -> tuple[dict[str, Any], list[bytes]]:
    with store.open_original(sha256) as source:
        told = decoder.ask(source)
    if told is not None:
        with suppress(ValueError):  # who answered may have been killed amid it
            return _parted(told)
    return _parted(_run_own_child(sha256))


def _parted(told: bytes) -> tuple[dict[str, Any], list[bytes]]:
    """Return the facts and the renditions of a decoder's answer.

    Raise ValueError where it is not whole.
    """
    line, _, rest = told.partition(b"\n")
    facts = json.loads(line)
    if sum(facts["lengths"]) != len(rest):
        raise ValueError("The decoder's answer was cut.")
    pictures = []
    for length in facts["lengths"]:
        pictures.append(rest[:length])
        rest = rest[length:]
    return facts, pictures


def _run_own_child(sha256: str, *words: str) -> bytes:
    """Decode where no decoder of the machine answered, or as an earlier version did."""
    with _at_once, store.open_original(sha256) as source:
        done = subprocess.run(  # noqa: S603 - our own script, no text of a person
            [sys.executable, "-I", str(_SCRIPT), *words],
            stdin=source,
            capture_output=True,
            timeout=SECONDS,
            check=True,
        )
    return done.stdout


def _keep(path: Path, picture: bytes) -> None:
    """Keep a rendition whole or not at all; without room it is made again later."""
    temporary = path.with_suffix(f".{secrets.token_hex(6)}")
    try:
        path.parent.mkdir(mode=0o750, parents=True, exist_ok=True)
        with temporary.open("xb") as file:
            file.write(picture)
            file.flush()
            # Else a power cut may leave its name with half of it, or nothing.
            os.fsync(file.fileno())
        os.replace(temporary, path)  # noqa: PTH105 - one call, atomic on POSIX
    except OSError as error:
        log.warning("Rendition %s was not kept: %s", path.name, error)
        with suppress(OSError):
            temporary.unlink(missing_ok=True)
