"""The content of a crate's label, frozen, and which of its keys the label carries."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.rules.codes.identifiers import Identifier, parse


@dataclass(frozen=True)
class CrateLabel:
    """One label. ``code`` is what the QR holds: a Digital Link, or the crate's mark.

    ``bars`` is the bare element string of the bar code and ``readable`` the same in
    parentheses; both are empty for a crate without a GS1 key. ``name`` is printed
    large, ``kicker`` small above it.
    """

    name: str
    code: str
    supplier: str
    crate_type: str
    bill: str
    kicker: str
    return_to: str
    bars: str = ""
    readable: str = ""


def label_key(grai: str, sscc: str, others: Sequence[str]) -> Identifier | None:
    """Return the identifier that a crate's label carries, or None where it has none.

    The GRAI comes first, because it names the crate for life; then a GIAI among the
    marks, then the SSCC of this trip, then the first mark that can be read.
    """
    stored = [f"(8003){grai}" if grai else "", f"(00){sscc}" if sscc else "", *others]
    found = [found for text in stored if text and (found := parse(text)).valid]
    for kind in ("grai", "giai", "sscc", "own"):
        for identifier in found:
            if identifier.kind == kind:
                return identifier
    return None


def codes_of(identifier: Identifier) -> tuple[str, str, str]:
    """Return the QR's text, the bar code's text, and the bar code as people read it."""
    element = identifier.element
    if element is None:
        return identifier.key, "", ""
    bare = element.ai + element.value
    return identifier.digital_link, bare, identifier.element_string
