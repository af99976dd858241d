"""Disposable pictures made from originals: upright, small, without EXIF or GPS.

A rendition that fails never touches the original. One that is missing is made again
at the first read.
"""

import json
import logging
import os
import secrets
import subprocess
import sys
import threading
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.conf import settings

from inventory.evidence.store import originals as store
from inventory.rules.core.text import clean_text

SIZES = (1600, 320)
SECONDS = 25

log = logging.getLogger(__name__)

_at_once = threading.BoundedSemaphore(2)
_SCRIPT = Path(__file__).with_name("decode.py")


@dataclass(frozen=True)
class Reading:
    """What the child process could read: pixels, the camera's claims, trouble."""

    width: int | None = None
    height: int | None = None
    claims: dict[str, str] = field(default_factory=dict)
    brightness: int | None = None
    sharpness: int | None = None
    moves: bool = False
    trouble: str = ""


def read_picture(sha256: str) -> Reading:
    """Decode an original in a child process, store its renditions, return what it is.

    Never raises for a bad picture: ``trouble`` then names what went wrong.
    """
    try:
        facts, pictures = _run_child(sha256)
    except (OSError, subprocess.SubprocessError, ValueError) as error:
        return Reading(trouble=type(error).__name__)
    for size, picture in zip(SIZES, pictures, strict=False):
        _keep(rendition_path(sha256, size), picture)
    return Reading(
        width=facts.get("width"),
        height=facts.get("height"),
        claims=_clean(facts.get("claims") or {}),
        brightness=facts.get("brightness"),
        sharpness=facts.get("sharpness"),
        moves=bool(facts.get("moves")),
        trouble=facts.get("error", "") if not pictures else "",
    )


def _clean(claims: dict[str, str]) -> dict[str, str]:
    """Leave the camera's words without characters that no table or page can hold."""
    cleaned = {name: clean_text(words).strip() for name, words in claims.items()}
    return {name: words for name, words in cleaned.items() if words}


def rendition_path(sha256: str, size: int) -> Path:
    """Return the path of the rendition of this size (1600 or 320 px)."""
    if size not in SIZES:
        raise KeyError(size)
    return Path(settings.RENDITION_ROOT) / sha256[:2] / f"{sha256}-{size}.jpg"


def ensure_rendition(sha256: str, size: int) -> Path | None:
    """Return the rendition's path, making it if missing; None where none can be."""
    path = rendition_path(sha256, size)
    if not path.exists():
        read_picture(sha256)
    return path if path.exists() else None


def _run_child(sha256: str) -> tuple[dict[str, Any], list[bytes]]:
    with _at_once, store.open_original(sha256) as source:
        done = subprocess.run(  # noqa: S603 - our own script, no text of a person
            [sys.executable, "-I", str(_SCRIPT)],
            stdin=source,
            capture_output=True,
            timeout=SECONDS,
            check=True,
        )
    line, _, rest = done.stdout.partition(b"\n")
    facts = json.loads(line)
    pictures = []
    for length in facts["lengths"]:
        pictures.append(rest[:length])
        rest = rest[length:]
    return facts, pictures


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
