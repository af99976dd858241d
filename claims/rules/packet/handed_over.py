"""What goes out beside the PDF, read from a claim file frozen in any format."""

import json
from dataclasses import dataclass

from claims.rules.packet.content import PacketContent
from claims.rules.packet.manifest import Manifest, manifest_text
from inventory.rules.core import frozen


@dataclass(frozen=True)
class HandedOver:
    """What goes out beside the PDF: the list of originals and the program, as frozen."""

    title: str
    version: str
    as_of: str
    manifest: Manifest | None
    checker: str

    @property
    def listed(self) -> bytes:
        """Return the list of originals as attached; empty where there is none."""
        if self.manifest is None:
            return b""
        text = manifest_text(
            self.manifest, title=self.title, version=self.version, as_of=self.as_of
        )
        return text.encode()


def handed_over(text: str) -> HandedOver:
    """Return list and program of a claim file frozen in any format.

    The rest of an older one is in the PDF that was kept, and is not read again. Raise
    ``frozen.FrozenError`` for anything else.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise frozen.FrozenError("This is not JSON.") from None
    if not isinstance(data, dict) or type(data.get("format")) is not int:
        raise frozen.FrozenError("This is no content of a claim file.")
    names = ("title", "version", "as_of", "manifest", "checker")
    kept = {name: data.get(name) for name in names}
    return frozen.from_json(
        HandedOver, json.dumps({**kept, "checker": kept["checker"] or ""})
    )


def manifest_bytes(content: PacketContent) -> bytes:
    """Return the list of originals as attached; empty where there is none."""
    return HandedOver(
        content.title,
        content.version,
        content.as_of,
        content.manifest,
        content.checker,
    ).listed
