"""The arithmetic and grammar of GS1 keys: check digit, characters, element strings.

Structure after the GS1 General Specifications. An element is an application identifier
(AI) and its value. The lengths are those of python-stdnum's table, which is generated
from GS1's own list (ref.gs1.org/ai). biip carries the same lengths; python-stdnum was
chosen because its table can be read by a public name and without loading the prefixes
of every company.
"""

import re
from dataclasses import dataclass, field
from functools import cache

GS = "\x1d"
"""How a scanner sends the separator FNC1: ASCII 29."""

SSCC, GRAI, GIAI = "00", "8003", "8004"

DIGITS = frozenset("0123456789")
X_CHARACTERS = frozenset(
    "!\"%&'()*+,-./0123456789:;<=>?"
    "ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
)
"""The 82 characters that a serial may hold."""

_RESERVED = {"04": 18, "14": 8, "18": 8, "19": 8}
"""AIs that GS1 reserves: no key begins so yet. Length of the AI with its value.

The General Specifications count them among those of predefined length. From memory.
"""

_BRACKETED = re.compile(r"(?<!\\)\(([0-9]{2,4})\)")


class ElementError(ValueError):
    """The text is not an element string; the message can be shown."""


@dataclass(frozen=True)
class Element:
    """One application identifier with its value, as read."""

    ai: str
    value: str


@dataclass(frozen=True)
class _Lengths:
    """Lengths by an AI's first two digits: of the AI, and of it with its value.

    ``whole`` has those of predefined length only, which need no separator after them.
    """

    ai: dict[str, int] = field(default_factory=dict)
    whole: dict[str, int] = field(default_factory=dict)


@cache
def _lengths() -> _Lengths:
    """Return the lengths of every AI that GS1 has given or reserved."""
    from stdnum import numdb  # noqa: PLC0415 - read only where a code is read

    known = _Lengths(dict.fromkeys(_RESERVED, 2), dict(_RESERVED))
    for length, low, high, facts, _ in numdb.get("gs1_ai").prefixes:
        for first in range(int(low[:2]), int(high[:2]) + 1):
            known.ai[f"{first:02}"] = length
            if "fnc1" not in facts:
                known.whole[f"{first:02}"] = length + int(facts["format"][1:])
    return known


def check_digit(body: str) -> str:
    """Return the mod-10 check digit for the digits left of it.

    Weights 3 and 1 alternate from the right, GS1 General Specifications 7.9. One rule
    for GTIN, GLN, SSCC and the 13 digits of a GRAI. It misses two swapped neighbors
    that differ by five. Raise ValueError for anything but digits 0 to 9.
    """
    if not is_digits(body):
        raise ValueError("A check digit needs the digits 0 to 9 only.")
    total = sum(
        int(digit) * (3 if place % 2 == 0 else 1)
        for place, digit in enumerate(reversed(body))
    )
    return str(-total % 10)


def is_digits(text: str) -> bool:
    """Return whether the text is one or more of the ASCII digits 0 to 9."""
    return bool(text) and DIGITS.issuperset(text)


def is_x_text(text: str) -> bool:
    """Return whether every character is one of the 82 that a serial may hold."""
    return X_CHARACTERS.issuperset(text)


def is_ai(text: str) -> bool:
    """Return whether the digits have the length of an AI that begins with them."""
    return _lengths().ai.get(text[:2]) == len(text)


def split_run(text: str) -> tuple[Element, ...]:
    """Return the elements of a bare element string, as a scanner sends it.

    Elements of predefined length follow each other directly; every other one ends at
    the separator or at the end. Raise ElementError where it cannot be read.
    """
    found: list[Element] = []
    rest = text.lstrip(GS)
    while rest:
        element, rest = _next_element(rest)
        found.append(element)
    if not found:
        raise ElementError("The scan is empty.")
    return tuple(found)


def _next_element(rest: str) -> tuple[Element, str]:
    length = _lengths().ai.get(rest[:2], 0)
    ai = rest[:length]
    if not is_digits(ai) or len(ai) < length:
        raise ElementError(
            "Part of this scan does not begin with a GS1 application identifier."
        )
    whole = _lengths().whole.get(rest[:2])
    if whole is None:
        value, _, after = rest[length:].partition(GS)
        return Element(ai, value), after.lstrip(GS)
    value = rest[length:whole]
    if len(rest) < whole or not is_digits(value):
        raise ElementError(f"({ai}) needs {whole - length} digits after it.")
    return Element(ai, value), rest[whole:].lstrip(GS)


def split_bracketed(text: str) -> tuple[Element, ...]:
    r"""Return the elements of the form people read: (8003)00614141123452400.

    Spaces are for the eye and are dropped. A bracket in a serial that would read as
    an AI is written ``\(``. Raise ElementError where it cannot be read.
    """
    tight = "".join(text.split())
    marks = [mark for mark in _BRACKETED.finditer(tight) if is_ai(mark[1])]
    if not marks or marks[0].start() != 0:
        raise ElementError(
            "It does not begin with a GS1 application identifier in parentheses."
        )
    ends = [*(mark.start() for mark in marks[1:]), len(tight)]
    return tuple(
        Element(mark[1], tight[mark.end() : end].replace("\\(", "("))
        for mark, end in zip(marks, ends, strict=True)
    )


def bracketed(element: Element) -> str:
    """Return the element as people read it; the inverse of ``split_bracketed``."""
    value = _BRACKETED.sub(
        lambda mark: f"\\{mark[0]}" if is_ai(mark[1]) else mark[0], element.value
    )
    return f"({element.ai}){value}"
