"""The last image of every row, stored outside the memory during a verification."""

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

from inventory.rules.evidence.row_images import Image


@dataclass(frozen=True)
class LastImage:
    """What the last event that wrote a row left of it; no image where it deleted it."""

    event: int
    image: Image | None


class ImageIndex:
    """A file of its own that vanishes when it is closed."""

    def __init__(self) -> None:
        """Begin empty."""
        self._file = sqlite3.connect("")
        self._file.execute("PRAGMA synchronous=OFF")
        self._file.execute(
            "CREATE TABLE last (noun TEXT, key TEXT, event INTEGER, image TEXT, "
            "PRIMARY KEY (noun, key)) WITHOUT ROWID"
        )

    def put(self, event: int, rows: list[list[object]]) -> None:
        """Store this event's images, over those of earlier events."""
        self._file.executemany(
            "INSERT OR REPLACE INTO last VALUES (?, ?, ?, ?)",
            [(noun, key, event, json.dumps(image)) for noun, key, image in rows],
        )

    def take(self, noun: str, key: str) -> LastImage | None:
        """Return the last image of this row and forget it; None if there is none."""
        found = self._file.execute(
            "SELECT event, image FROM last WHERE noun = ? AND key = ?", (noun, key)
        ).fetchone()
        if found is None:
            return None
        self._file.execute("DELETE FROM last WHERE noun = ? AND key = ?", (noun, key))
        return LastImage(found[0], json.loads(found[1]))

    def left_over(self, noun: str) -> Iterator[tuple[str, int]]:
        """Yield key and event of each row that should exist and was not taken."""
        yield from self._file.execute(
            "SELECT key, event FROM last WHERE noun = ? AND image <> 'null' "
            "ORDER BY event, key",
            (noun,),
        )

    def close(self) -> None:
        """Let the file go."""
        self._file.close()
