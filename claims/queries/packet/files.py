"""What goes out with a claim file: its list, the program, and the originals."""

from collections.abc import Collection
from dataclasses import dataclass

from claims.models import Packet
from claims.rules.packet.changes import Changes, changes_between
from claims.rules.packet.content import PacketContent, from_json
from claims.rules.packet.handed_over import handed_over
from claims.rules.packet.manifest import CHECKER_NAME, MANIFEST_NAME, ManifestEntry
from inventory.evidence.store import originals as store
from inventory.models import Evidence
from inventory.rules.core.frozen import FrozenError

LEFT_OUT_NAME = "left-out.txt"


@dataclass(frozen=True)
class PacketFiles:
    """The texts by name, the originals by name and hash, and the missing ones."""

    texts: tuple[tuple[str, bytes], ...]
    originals: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]


def checker_of(packet: Packet) -> str:
    """Return the program frozen with the claim file; empty where there is none."""
    return handed_over(packet.content).checker


def files_of(packet: Packet) -> PacketFiles | None:
    """Return all that the carrier needs; None for a claim file made before lists.

    An original that was hidden since is left out, and a text says so.
    """
    content = handed_over(packet.content)
    if content.manifest is None:
        return None
    listed = content.manifest.originals
    shown = _shown(listed)
    kept = [one for one in listed if one.evidence in shown]
    texts = [
        (MANIFEST_NAME, content.listed),
        (CHECKER_NAME, content.checker.encode()),
    ]
    if len(kept) < len(listed):
        left = [one.number for one in listed if one.evidence not in shown]
        texts.append((LEFT_OUT_NAME, _left_out(left)))
    return PacketFiles(
        texts=tuple(texts),
        originals=tuple((one.file, one.sha256) for one in kept),
        missing=tuple(one.number for one in kept if not store.exists(one.sha256)),
    )


class NotComparableError(Exception):
    """One of two claim files was frozen in an older form; can be shown."""


def changes_since(before: Packet, after: Packet) -> Changes:
    """Return what changed between two claim files. Raise NotComparableError."""
    try:
        return changes_between(from_json(before.content), from_json(after.content))
    except FrozenError:
        raise NotComparableError(
            "One of these claim files was made in an older form, so the two cannot be "
            "compared here. Open both PDFs."
        ) from None


def hidden_originals(packet: Packet) -> list[str]:
    """Return the numbers of the originals of a claim file that are hidden by now."""
    manifest = handed_over(packet.content).manifest
    listed = manifest.originals if manifest else ()
    shown = _shown(listed)
    return [one.number for one in listed if one.evidence not in shown]


def listed_in(content: PacketContent) -> list[str]:
    """Return the keys of the photos and documents that a claim file shows."""
    listed = content.manifest.originals if content.manifest else ()
    return [one.evidence for one in listed]


def are_shown(keys: Collection[str]) -> bool:
    """Return whether none of these photos and documents is hidden by now."""
    return Evidence.objects.filter(pk__in=keys).count() == len(set(keys))


def _shown(listed: tuple[ManifestEntry, ...]) -> set[str]:
    rows = Evidence.objects.filter(pk__in=[one.evidence for one in listed])
    return {str(key) for key in rows.values_list("pk", flat=True)}


def _left_out(numbers: list[str]) -> bytes:
    named = ", ".join(numbers)
    return (
        "Hidden since the claim file was made, and not in this archive: original "
        f"{named}. Its hash stays in the list.\n"
    ).encode()
