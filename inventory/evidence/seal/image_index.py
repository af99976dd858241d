"""The last image of every row, stored outside the memory during a verification."""

import marshal
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, cast

from inventory.rules.evidence.row_images import Image

_NO_REFERENCES = 2
"""The form of ``marshal`` in which equal values are equal bytes, and 1 is not true."""


def packed(image: Image | None) -> bytes:
    """Return an image as bytes: equal for the same names, in order, and values."""
    return marshal.dumps(cast("Any", image), _NO_REFERENCES)


@dataclass(frozen=True)
class LastImage:
    """What the last event that wrote a row left of it; no image where it deleted it."""

    event: int
    data: bytes

    @property
    def image(self) -> Image | None:
        """Return the image. The bytes are our own, from this verification."""
        return cast("Image | None", marshal.loads(self.data))  # noqa: S302


class ImageIndex:
    """A file of its own that vanishes when it is closed."""

    def __init__(self) -> None:
        """Begin empty."""
        self._file = sqlite3.connect("")
        self._file.execute("PRAGMA synchronous=OFF")
        self._file.execute(
            "CREATE TABLE last (noun TEXT, key TEXT, event INTEGER, image BLOB, "
            "PRIMARY KEY (noun, key)) WITHOUT ROWID"
        )

    def put(self, event: int, rows: list[list[object]]) -> None:
        """Store this event's images, over those of earlier events."""
        self._file.executemany(
            "INSERT OR REPLACE INTO last VALUES (?, ?, ?, ?)",
            [
                (noun, key, event, packed(cast("Image | None", image)))
                for noun, key, image in rows
            ],
        )

    def take(self, noun: str, key: str) -> LastImage | None:
        """Return the last image of this row and forget it; None if there is none."""
        found = self._file.execute(
            "DELETE FROM last WHERE noun = ? AND key = ? RETURNING event, image",
            (noun, key),
        ).fetchall()
        return LastImage(*found[0]) if found else None

    def left_over(self, noun: str) -> Iterator[tuple[str, int]]:
        """Yield key and event of each row that should exist and was not taken."""
        yield from self._file.execute(
            "SELECT key, event FROM last WHERE noun = ? AND image <> ? "
            "ORDER BY event, key",
            (noun, packed(None)),
        )

    def close(self) -> None:
        """Let the file go."""
        self._file.close()
