"""The lighter edition of a claim file: the same pages with smaller pictures.

It is for portals that take no large file. It names the exhibits whose pictures are
smaller, and the full file by its hash.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from claims.rules.packet.content import Exhibit, PacketContent
from inventory.rules.core import frozen
from inventory.rules.core.pictures import Picture

FORMAT = 1

MB = 1_000_000

LIMITS: Mapping[int, str] = {2: "2 MB", 5: "5 MB", 10: "10 MB", 20: "20 MB"}
"""Limits of portals to choose from, in MB. Common practice, no source."""

LEAST_MB, MOST_MB = 1, 50


@dataclass(frozen=True)
class Level:
    """How small pictures are made: the longer side in pixels, and the JPEG quality."""

    side: int
    quality: int


LEVELS = (Level(1200, 76), Level(1000, 72), Level(800, 68), Level(640, 62))
"""Tried in this order until the file fits. Our own, common practice, no source."""


@dataclass(frozen=True)
class SmallerPicture:
    """The smaller copy of one page of an exhibit, both counted as in the content."""

    exhibit: int
    page: int
    picture: Picture


@dataclass(frozen=True)
class Lighter:
    """What a lighter edition is made of, beside the frozen content of its claim file.

    ``full_sha256`` is of the full file's PDF. ``made_on`` is its day, as ISO text.
    """

    version: str
    full_sha256: str
    full_size: str
    side: int
    made_on: str
    pictures: tuple[SmallerPicture, ...]
    format: int = FORMAT

    @property
    def exhibits(self) -> tuple[int, ...]:
        """Return the numbers of the exhibits that are smaller."""
        return tuple(sorted({one.exhibit for one in self.pictures}))


def size_words(size: int) -> str:
    """Return a size in MB with one place, such as "4.9 MB"."""
    tenths = -(-size * 10 // MB)
    return f"{tenths // 10}.{tenths % 10} MB"


def to_json(lighter: Lighter) -> str:
    """Freeze it as canonical JSON."""
    return frozen.to_json(lighter)


def with_smaller(content: PacketContent, lighter: Lighter) -> PacketContent:
    """Return the content with the smaller pictures in their places."""
    made = {(one.exhibit, one.page): one.picture for one in lighter.pictures}

    def smaller(one: Exhibit) -> Exhibit:
        pages = enumerate(one.source)
        source = tuple(made.get((one.number, at), page) for at, page in pages)
        return replace(one, source=source)

    return replace(content, exhibits=tuple(smaller(one) for one in content.exhibits))
