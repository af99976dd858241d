"""Which passwords are guessed first: listed ones, repeats, rows, words of the place.

NIST SP 800-63B, 5.1.1.2 (and 3.1.1.2 of revision 4): compare with common passwords,
repetitive or sequential characters, and words of the context; no rules of composition.
"""

import itertools
import re
import unicodedata
from collections.abc import Iterable, Set

SHORTEST_REST = 8
"""So many characters must be left beside words of the place and figures around."""

SHORTEST_WORD = 4
"""A shorter word of the place is in too many good passwords; so is a shorter repeat."""

PRODUCT = "tarefold"

_APART = re.compile(r"[\W_]+")
_AROUND = re.compile(r"^[\W\d_]+|[\W\d_]+$")


def words_of_place(texts: Iterable[str]) -> frozenset[str]:
    """Return the words in names and addresses that a guesser would try."""
    found: set[str] = {PRODUCT}
    for text in texts:
        parts = [part for part in _APART.split(_plain(text)) if part]
        found |= {*parts, "".join(parts)}
    return frozenset(word for word in found if len(word) >= SHORTEST_WORD)


def weakness_of(password: str, *, listed: Set[str], place: Set[str]) -> str:
    """Return why the password is guessed first, or nothing.

    ``listed`` holds common passwords in small letters; ``place`` is of
    ``words_of_place``.
    """
    whole = _plain(password)
    joined = _APART.sub("", whole)
    core = _AROUND.sub("", whole)
    known = listed | place
    for text in {whole, joined, core, _APART.sub("", core)}:
        if text in listed:
            return "It is a common password, or one with figures around it."
        unit = _repeated(text)
        if unit and (len(unit) <= SHORTEST_WORD or _AROUND.sub("", unit) in known):
            return "It repeats one word or a few characters."
    if _is_row(joined):
        return "It is a row of characters in their order."
    rest = joined
    for word in sorted(place, key=len, reverse=True):
        rest = rest.replace(word, " ")
    rest = _AROUND.sub("", rest)
    if rest != _AROUND.sub("", joined) and (
        len(rest.replace(" ", "")) < SHORTEST_REST or rest in listed
    ):
        return "It is little more than a name of this person or place."
    return ""


def _plain(text: str) -> str:
    return unicodedata.normalize("NFKC", text).casefold()


def _repeated(text: str) -> str:
    """Return the shortest part that the text repeats, the last time perhaps cut off."""
    for size in range(1, len(text) // 2 + 1):
        if text == (text[:size] * (len(text) // size + 1))[: len(text)]:
            return text[:size]
    return ""


def _is_row(text: str) -> bool:
    """Return whether each character follows the one before: abcd, 4321."""
    steps = {ord(b) - ord(a) for a, b in itertools.pairwise(text)}
    return len(steps) == 1 and steps <= {1, -1}
