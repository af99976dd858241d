"""The state of the tree over all events, and the place of single ones in it."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import Event
from inventory.rules.evidence import chain
from inventory.rules.evidence.proofs import audit_paths


@dataclass(frozen=True)
class TreeState:
    """How many events the tree holds, and its root in hex (RFC 6962)."""

    size: int
    root: str


def tree_state(size: int | None = None) -> TreeState:
    """Return the tree over the first ``size`` events, or over all of them."""
    hashes = Event.objects.order_by("sequence").values_list("hash", flat=True)
    leaves = [bytes.fromhex(text) for text in (hashes[:size] if size else hashes)]
    return TreeState(len(leaves), chain.tree_root(leaves).hex())


def paths_of(size: int, sequences: Sequence[int]) -> dict[int, tuple[str, ...]]:
    """Return each event's audit path, in hex, in the tree over the first ``size``."""
    hashes = Event.objects.order_by("sequence").values_list("hash", flat=True)
    leaves = (bytes.fromhex(text) for text in hashes[:size].iterator())
    paths = audit_paths(leaves, [sequence - 1 for sequence in sequences])
    return {
        place + 1: tuple(step.hex() for step in path) for place, path in paths.items()
    }
