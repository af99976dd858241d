"""How something went out: by which way, to whom, and under which tracking number."""

from claims.rules.core.vocabulary import SENT_HOW
from inventory.rules.core.text import mid_sentence

ON_PAPER = frozenset({"post", "courier"})
"""The ways that hand out a tracking number."""

NO_TRACKING = "No tracking number recorded"


def sent_words(how: str, *, to: str = "", tracking: str = "") -> str:
    """Return "certified mail, 9407 1118, to Gannet Overland" for a sentence."""
    parts = [mid_sentence(SENT_HOW[how]), tracking, f"to {to}" if to else ""]
    return ", ".join(part for part in parts if part)


def lacks_tracking(how: str, tracking: str) -> bool:
    """Return whether it went out on paper and nobody recorded its number."""
    return how in ON_PAPER and not tracking
