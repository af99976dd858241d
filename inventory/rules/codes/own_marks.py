"""Marks of one's own: what a crate is called where it has no GS1 key."""

import unicodedata

MOST_MARK = 60

_CONTROLS = {"Cc", "Cf", "Cs", "Co", "Cn"}


def own_key(text: str) -> str:
    """Return a mark as it is compared: capitals, spaces and dashes one dash each run."""
    capitals = unicodedata.normalize("NFKC", text).upper()
    apart = "".join(" " if _is_gap(mark) else mark for mark in capitals)
    return "-".join(apart.split())


def loose_key(text: str) -> str:
    """Return a mark without its dashes, for those who type RK0042 for RK-0042."""
    return own_key(text).replace("-", "")


def mark_problem(text: str) -> str:
    """Say what is wrong with a mark, or nothing: at most 60 letters, digits, signs."""
    unseen = next((m for m in text if unicodedata.category(m) in _CONTROLS), "")
    if unseen:
        return f"It holds the unseen character {shown(unseen)}."
    foreign = next((m for m in text if _is_foreign(m)), "")
    if foreign:
        return f"It holds the digit {foreign}; write digits as 0 to 9."
    key = own_key(text)
    if not any(mark.isalnum() for mark in key):
        return "It holds no letter and no digit." if text else "Nothing is written."
    if len(key) > MOST_MARK:
        return f"A mark has at most {MOST_MARK} characters; this one has {len(key)}."
    return ""


def shown(mark: str) -> str:
    """Return a character for a sentence: itself, or its number where it is unseen."""
    if unicodedata.category(mark) in _CONTROLS or mark.isspace():
        return f"U+{ord(mark):04X}"
    return mark


def _is_foreign(mark: str) -> bool:
    """Say whether it is a digit or number, yet none of 0 to 9."""
    return unicodedata.category(mark) in {"Nd", "No"} and mark not in "0123456789"


def _is_gap(mark: str) -> bool:
    return mark.isspace() or mark == "_" or unicodedata.category(mark) == "Pd"
