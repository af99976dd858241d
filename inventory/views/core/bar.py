"""The one row at the head of a page on a phone: back, name, and what else there is."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Bar:
    """What the row says. ``more`` are the page's seldom acts, as (words, address)."""

    name: str
    under: str = ""
    back: str = ""
    back_words: str = "Back"
    more: tuple[tuple[str, str], ...] = ()
