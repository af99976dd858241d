"""The state of the tree over all events, and proofs over it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db import DEFAULT_DB_ALIAS

from inventory.evidence.seal.tiles import BrokenTreeError, KeptNodes
from inventory.models import Event
from inventory.rules.evidence.chain import GrowingTree, leaf_data
from inventory.rules.evidence.proofs import (
    audit_path,
    consistency_path,
    is_included,
    root_of,
)

NOT_PROVEN = (
    "The kept hashes of the tree differ from its events, so no proof would hold. Nothing "
    "was saved. Run manage.py verify."
)


@dataclass(frozen=True)
class TreeState:
    """How many events the tree holds, and its root in hex (RFC 6962)."""

    size: int
    root: str


def last_sequence() -> int:
    """Return the number of the last event: while it stays, nothing was recorded."""
    last = Event.objects.order_by("-sequence").values_list("sequence", flat=True)
    return last.first() or 0


def tree_state(size: int | None = None) -> TreeState:
    """Return the tree over the first ``size`` events, or over all of them.

    By the kept tiles, in the time of some twenty hashes. Raise BrokenTreeError.
    """
    found = last_sequence()
    size = min(size or found, found)
    return TreeState(size, root_of(size, KeptNodes(size)).hex())


def hashed_anew(
    sizes: Iterable[int] = (), *, using: str = DEFAULT_DB_ALIAS
) -> tuple[TreeState, dict[int, str]]:
    """Return the tree over all events, hashed from them alone, and earlier roots.

    ``sizes`` are sizes whose roots are wanted; those that are reached are told.
    ``using`` names the connection.
    """
    wanted, tree = frozenset(sizes), GrowingTree()
    found = {0: tree.root().hex()} if 0 in wanted else {}
    events = Event.objects.using(using).order_by("sequence")
    for sealed in events.values_list("hash", flat=True).iterator():
        tree.add(leaf_data(sealed))
        if tree.size in wanted:
            found[tree.size] = tree.root().hex()
    return TreeState(tree.size, tree.root().hex()), found


def paths_of(tree: TreeState, sequences: Sequence[int]) -> dict[int, tuple[str, ...]]:
    """Return each event's audit path, in hex, in the tree of this state.

    Raise BrokenTreeError rather than return a path that does not lead from the event to
    the root.
    """
    nodes, root = KeptNodes(tree.size), bytes.fromhex(tree.root)
    nodes.read_ahead(sequence - 1 for sequence in sequences)
    leaves = Event.objects.filter(sequence__in=sequences).values_list(
        "sequence", "hash"
    )
    paths = {}
    for sequence, sealed in leaves:
        place, data = sequence - 1, leaf_data(sealed)
        path = audit_path(place, tree.size, nodes)
        if not is_included(data, place=place, size=tree.size, path=path, root=root):
            raise BrokenTreeError(NOT_PROVEN)
        paths[sequence] = tuple(step.hex() for step in path)
    return paths


def grown_from(earlier: int, size: int) -> tuple[str, ...]:
    """Return the proof, in hex, that the tree only grew since it had ``earlier`` events."""
    path = consistency_path(earlier, size, KeptNodes(size))
    return tuple(step.hex() for step in path)
