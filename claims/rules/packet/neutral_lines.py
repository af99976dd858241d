"""The one neutral line a document may have: why it is a copy, or is not enclosed.

Chosen by the manager. Our own words, common practice, no source.
"""

from collections.abc import Mapping

PAPERS: Mapping[str, str] = {
    "bill-of-lading": "Bill of lading",
    "freight-bill": "Freight bill",
    "supplier-invoice": "Supplier's invoice",
    "inspection": "Inspection report",
    "repair-estimate": "Repair estimate",
    "receipt": "Delivery receipt",
}
"""The documents that may have a line, by their key in the list of documents."""

KINDS: Mapping[str, str] = {
    "bill-of-lading": "bill-of-lading",
    "freight-bill": "freight-bill",
    "freight-paid": "freight-bill",
    "supplier-invoice": "supplier-invoice",
    "inspection-report": "inspection",
    "inspection-waiver": "inspection",
    "repair-estimate": "repair-estimate",
    "receipt": "receipt",
}
"""The document that each kind of file counts as."""

LINES: Mapping[str, str] = {
    "copy": "{paper}: copy; the original is held by us",
    "copy-carrier": "{paper}: copy; the original is held by the carrier",
    "copy-supplier": "{paper}: copy; the original is held by the supplier",
    "indemnity": "Original {lower} not held; indemnity agreement enclosed",
    "on-request": "{paper}: sent on request",
    "to-follow": "{paper}: follows separately",
    "asked-inspection": "{paper}: inspection was requested in writing",
}
"""Each line by its key."""


def neutral_line(paper: str, key: str) -> str:
    """Return the line for a document; nothing for an unknown document or line."""
    name, line = PAPERS.get(paper, ""), LINES.get(key, "")
    if not (name and line):
        return ""
    return line.format(paper=name, lower=name[:1].lower() + name[1:])


def line_choices(paper: str) -> dict[str, str]:
    """Return the lines to choose from for one document, by key."""
    return {
        key: neutral_line(paper, key)
        for key in LINES
        if key != "asked-inspection" or paper == "inspection"
    }
