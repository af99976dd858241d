"""The last image of every row, stored outside the memory during a verification."""

import marshal
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, cast

from inventory.rules.evidence.row_images import Image

_NO_REFERENCES = 2
"""The form of ``marshal`` in which equal values are equal bytes, and 1 is not true."""


def packed(image: Image | None) -> bytes:
    """Return an image as bytes: equal for the same names, in order, and values."""
    return marshal.dumps(cast("Any", image), _NO_REFERENCES)


_LONGEST_NUMBER = 18


@dataclass(frozen=True, slots=True)
class LastImage:
    """What the last event that wrote a row left of it; no image where it deleted it."""

    event: int
    data: bytes

    @property
    def image(self) -> Image | None:
        """Return the image. The bytes are our own, from this verification."""
        return cast("Image | None", marshal.loads(self.data))  # noqa: S302


Key = int | str | bytes

_WAITING = 500
_AT_ONCE = 200


class ImageIndex:
    """A file of its own that vanishes when it is closed.

    Images wait in memory until some are there, and the last of each row is written. A key
    that is a number is stored as one, so that rows come in the order of the tables.
    """

    def __init__(self) -> None:
        """Begin empty."""
        self._file = sqlite3.connect("")
        self._file.execute("PRAGMA synchronous=OFF")
        self._file.execute("PRAGMA journal_mode=OFF")
        self._file.execute(
            "CREATE TABLE last (noun INTEGER, key, event INTEGER, image BLOB, "
            "PRIMARY KEY (noun, key)) WITHOUT ROWID"
        )
        self._nouns: dict[str, int] = {}
        self._waiting: dict[tuple[int, Key], tuple[int, bytes]] = {}

    def put(self, event: int, rows: list[list[object]]) -> None:
        """Store this event's images, over those of earlier events."""
        nouns = self._nouns
        for noun, key, image in rows:
            at = nouns.setdefault(str(noun), len(nouns))
            data = packed(cast("Image | None", image))
            self._waiting[at, _key(str(key))] = event, data
        if len(self._waiting) >= _WAITING:
            self._write()

    def _write(self) -> None:
        self._file.executemany(
            "INSERT OR REPLACE INTO last VALUES (?, ?, ?, ?)",
            [(*name, *last) for name, last in self._waiting.items()],
        )
        self._waiting.clear()

    def take(self, noun: str, keys: Sequence[str]) -> list[LastImage | None]:
        """Return the last image of each of these rows and forget it; None without one."""
        self._write()
        wanted = list(map(_key, keys))
        found: dict[Key, LastImage] = {}
        for first in range(0, len(wanted), _AT_ONCE):
            some = wanted[first : first + _AT_ONCE]
            marks = ", ".join("?" * len(some))
            for key, event, data in self._file.execute(
                f"DELETE FROM last WHERE noun = ? AND key IN ({marks}) "  # noqa: S608
                "RETURNING key, event, image",
                (self._nouns.get(noun), *some),
            ):
                found[key] = LastImage(event, data)
        return [found.pop(key, None) for key in wanted]

    def left_over(self, noun: str) -> Iterator[tuple[str, int]]:
        """Yield key and event of each row that should exist and was not taken."""
        self._write()
        for key, event in self._file.execute(
            "SELECT key, event FROM last WHERE noun = ? AND image <> ? "
            "ORDER BY event, CAST(key AS TEXT)",
            (self._nouns.get(noun), packed(None)),
        ):
            damaged = isinstance(key, bytes)
            yield (
                key.decode("utf-8", "backslashreplace") if damaged else str(key),
                event,
            )

    def close(self) -> None:
        """Let the file go."""
        self._file.close()


def _key(text: str) -> Key:
    """Return a key as the number it is, where it is written as one.

    A damaged key that is no text is stored by its bytes.
    """
    if len(text) < _LONGEST_NUMBER and text.isascii() and text.isdecimal():
        number = int(text)
        return number if str(number) == text else text
    try:
        text.encode()
    except UnicodeEncodeError:
        return text.encode("utf-8", "surrogatepass")
    return text
