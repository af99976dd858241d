"""The dealer's own marks: the name of a crate that has no GS1 key."""

import unicodedata

MOST_MARK = 60

_CONTROLS = {"Cc", "Cf", "Cs", "Co", "Cn"}


def own_key(text: str) -> str:
    """Return a mark for comparing: capitals, each run of spaces and dashes one dash."""
    capitals = unicodedata.normalize("NFKC", text).upper()
    apart = "".join(" " if _is_gap(mark) else mark for mark in capitals)
    return "-".join(apart.split())


def loose_key(text: str) -> str:
    """Return a mark without its dashes, so that RK0042 finds RK-0042."""
    return own_key(text).replace("-", "")


def mark_problem(text: str) -> str:
    """Return what is wrong with a mark, or nothing: at most 60 letters, digits, signs."""
    invisible = invisible_in(text)
    if invisible:
        return f"It contains the invisible character {shown(invisible)}."
    foreign = next((m for m in text if _is_foreign(m)), "")
    if foreign:
        return f"It contains the digit {foreign}. Use 0 to 9."
    key = own_key(text)
    if not any(mark.isalnum() for mark in key):
        return "It has no letter and no digit." if text else "Nothing was entered."
    if len(key) > MOST_MARK:
        return f"A mark has at most {MOST_MARK} characters; this one has {len(key)}."
    return ""


def invisible_in(text: str) -> str:
    """Return the first control or format character of a text, or nothing."""
    return next((m for m in text if unicodedata.category(m) in _CONTROLS), "")


def shown(mark: str) -> str:
    """Return a character for a sentence: itself, or its code where it is invisible."""
    if unicodedata.category(mark) in _CONTROLS or mark.isspace():
        return f"U+{ord(mark):04X}"
    return mark


def _is_foreign(mark: str) -> bool:
    """Return whether it is a digit or number other than 0 to 9."""
    return unicodedata.category(mark) in {"Nd", "No"} and mark not in "0123456789"


def _is_gap(mark: str) -> bool:
    return mark.isspace() or mark == "_" or unicodedata.category(mark) == "Pd"
