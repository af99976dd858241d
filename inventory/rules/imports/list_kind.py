"""What a kind of list that comes from a file says of itself."""

from collections.abc import Mapping
from dataclasses import dataclass, field

MOST_ROWS = 500
"""The most rows of one file: what one transaction may hold up the others with."""


@dataclass(frozen=True)
class ListKind:
    """One kind of list.

    ``columns`` are the headings by the form's field; of them ``needed`` may not be
    missing, ``days`` hold dates, and a cell of ``signed`` may begin with a plus or a
    minus. Two rows are the same where all of ``same_by`` are. ``right`` is the act of
    roles that it takes; "" is kept by the administrator alone.
    """

    key: str
    title: str
    noun: str
    right: str
    columns: Mapping[str, str]
    needed: tuple[str, ...]
    same_by: tuple[str, ...]
    example: Mapping[str, str]
    days: frozenset[str] = frozenset()
    signed: frozenset[str] = frozenset()
    lead: str = ""
    is_at_location: bool = field(default=False)

    @property
    def url(self) -> str:
        """Return the name of the page that imports it."""
        return f"import_{self.key.replace('-', '_')}"

    @property
    def plural(self) -> str:
        """Return what the rows are called in a sentence."""
        return self.title[0].lower() + self.title[1:]
