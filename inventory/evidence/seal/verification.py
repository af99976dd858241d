"""Whether all that is stored is what was received and recorded.

Chain, then rows, then originals, then the copies of photos, in this order; the first
thing that differs is named. Nothing is held in memory but the tables' own batches.
"""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field

from inventory.evidence.seal.chain_check import Walk, walk_chain
from inventory.evidence.seal.image_index import ImageIndex
from inventory.evidence.seal.rendition_check import rendition_faults
from inventory.evidence.seal.row_check import Counted, row_faults
from inventory.evidence.seal.sealed_tables import comparers, sealed_models
from inventory.evidence.seal.snapshots import Snapshot, UnreadableTableError, columns_of
from inventory.evidence.seal.tile_check import TileCheck
from inventory.evidence.store import originals as store
from inventory.models import Original
from inventory.rules.evidence import chain
from inventory.rules.evidence.row_images import Scalar

SHOWN = 20

ReadOriginal = Callable[[str], Iterator[bytes]]


@dataclass
class Report:
    """What a verification found. ``first`` are the first faults, in order."""

    first: list[str] = field(default_factory=list)
    faults: int = 0
    size: int = 0
    root: str = ""
    roots: dict[int, str] = field(default_factory=dict)
    rows: int = 0
    old_rows: int = 0
    originals: int = 0
    clock: str = ""
    """Where the clock went back; no fault of what is stored."""

    def add(self, sentences: Iterator[str]) -> None:
        """Count the faults and keep the first ones; a broken table is one more."""
        try:
            for sentence in sentences:
                self._keep(sentence)
        except UnreadableTableError as error:
            self._keep(f"A table cannot be read to its end: {error}.")

    def _keep(self, sentence: str) -> None:
        self.faults += 1
        if len(self.first) < SHOWN:
            self.first.append(sentence)


def verify(
    snapshot: Snapshot,
    *,
    read_original: ReadOriginal | None = store.read_original,
    sizes: frozenset[int] = frozenset(),
) -> Report:
    """Compare everything that this snapshot holds and return what was found.

    ``read_original`` None leaves the files out. ``sizes`` are sizes of the tree whose
    root is wanted. Raises nothing for damage: all of it is in the report.
    """
    report = Report()
    counted = Counted()
    with closing(ImageIndex()) as index:
        tiles = TileCheck()
        report.add(tiles.read(snapshot))
        walk = Walk(index.put, sizes, chain.GrowingTree(tiles.compare))
        report.add(walk_chain(snapshot, walk))
        report.add(tiles.faults())
        for model in sealed_models():
            report.add(
                row_faults(
                    snapshot, model, index, counted, has_old_rows=walk.has_old_rows
                )
            )
    for _, comparer in comparers():
        report.add(comparer(snapshot))
    if read_original is not None:
        report.add(_original_faults(snapshot, read_original, report))
        report.add(rendition_faults(snapshot))
    report.add(f"The database says: {said}." for said in snapshot.damage())
    report.size, report.root = walk.tree.size, walk.tree.root().hex()
    if walk.clock.went_back:
        report.clock = f"{walk.clock.went_back} times, first at {walk.clock.first}"
    report.roots = walk.roots
    if 0 in sizes:
        report.roots[0] = chain.GrowingTree().root().hex()
    report.rows, report.old_rows = counted.rows, counted.old
    return report


def _original_faults(
    snapshot: Snapshot, read_original: ReadOriginal, report: Report
) -> Iterator[str]:
    columns = columns_of(Original, ("sha256", "size"))
    for sha256, size in snapshot.rows(Original, columns):
        try:
            fault = original_fault(str(sha256), size, read_original)
        except store.HomeUnreachableError as error:  # a million would take days
            yield f"Originals after the first {report.originals} were not read. {error}"
            return
        report.originals += 1
        if fault:
            yield fault


def original_fault(sha256: str, size: Scalar, read_original: ReadOriginal) -> str:
    """Return the sentence for an original that is missing or changed, or nothing.

    Raise HomeUnreachableError where nobody knows.
    """
    digest, length = hashlib.sha256(), 0
    try:
        for chunk in read_original(sha256):
            digest.update(chunk)
            length += len(chunk)
    except store.HomeUnreachableError:
        raise
    except OSError as error:
        why = error.strerror or "it cannot be read"
        return f"Original {sha256} is missing or cannot be read: {why}."
    if digest.hexdigest() != sha256:
        return f"Original {sha256} no longer has its hash."
    if length != size:
        return f"Original {sha256} has {length} bytes and is recorded with {size}."
    return ""
