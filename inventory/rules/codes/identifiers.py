"""Which crate a text names: a GS1 key in any of its forms, or the dealer's own mark.

Nothing here raises for bad text: an invalid identifier is an answer too, with the
sentence that says what is wrong. Only the ASCII digits 0 to 9 count as digits.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.rules.codes.digital_links import (
    link_of,
    looks_like_link,
    looks_like_urn,
    read_link,
    read_urn,
)
from inventory.rules.codes.gs1 import (
    GIAI,
    GRAI,
    GS,
    SSCC,
    Element,
    ElementError,
    bracketed,
    check_digit,
    is_digits,
    is_x_text,
    split_bracketed,
    split_run,
)
from inventory.rules.codes.own_marks import invisible_in, mark_problem, own_key, shown

Kind = Literal["grai", "sscc", "giai", "own"]

MOST_TEXT = 500

_HEAD, _MOST_SERIAL, _MOST_GIAI, _SSCC_LENGTH = 14, 16, 30, 18
_LEAST_PREFIX = 4
_BLANK = " \t\r\n"
_GS1_SCAN = re.compile(r"\](?:C1|e0|d2|Q3|J1)")
_PLAIN_SCAN = re.compile(r"\A\][A-Za-z][0-9A-Za-z]")
_IN_BRACKETS = re.compile(r"\([0-9]{2,4}\)")
_BARE_START = re.compile(r"00[0-9]{18}|8003[0-9]{14}|8004[0-9]{6}.")
_PREFERRED = (GRAI, GIAI, SSCC)


@dataclass(frozen=True)
class Identifier:
    """What a text names. Texts are empty where nothing applies.

    ``key`` is the 14 digits of a GRAI with its leading zero, the 18 of an SSCC, a
    whole GIAI, or the mark in capitals with single dashes. ``serial`` is a GRAI's own.
    ``check_digit`` is the correct one, even where the text has another.
    ``digital_link`` and ``element_string`` are given for a valid GS1 key only;
    ``problem`` is a sentence, and only for an invalid one.
    """

    kind: Kind
    key: str = ""
    serial: str = ""
    check_digit: str = ""
    problem: str = ""

    @property
    def valid(self) -> bool:
        """Return whether the identifier is valid."""
        return not self.problem

    @property
    def value(self) -> str:
        """Return key and serial together, as stored and printed."""
        return self.key + self.serial

    @property
    def element(self) -> Element | None:
        """Return the GS1 element; None for an own mark or an invalid key."""
        ai = _AIS.get(self.kind)
        return Element(ai, self.value) if ai and self.valid else None

    @property
    def digital_link(self) -> str:
        """Return the canonical GS1 Digital Link."""
        return link_of(self.element) if self.element else ""

    @property
    def element_string(self) -> str:
        """Return the element string with the AI in brackets, for people to read."""
        return bracketed(self.element) if self.element else ""


_AIS = {"grai": GRAI, "giai": GIAI, "sscc": SSCC}


def as_typed(text: str) -> str:
    """Return a scanned code as a person would type it: no prefix, AIs in brackets."""
    found = parse(text)
    bare = _PLAIN_SCAN.sub("", text.strip(_BLANK)).replace(GS, " ")
    return found.element_string or bare.strip(_BLANK)


def parse(text: str) -> Identifier:
    """Return what the text names, whether scanned, typed or followed as a link.

    Accepted: element strings with or without parentheses, with or without a scanner's
    symbology prefix and with FNC1 as ASCII 29; 18 digits of an SSCC; GS1 Digital Links
    of any domain; EPC names. Everything else is an own mark: 13 or 14 bare
    digits too, because products and places have numbers of the same shape.
    """
    plain = text.strip(_BLANK)
    if len(plain) > MOST_TEXT:
        return Identifier("own", problem=f"It is longer than {MOST_TEXT} characters.")
    scan = _GS1_SCAN.match(plain)
    if scan or GS in plain:
        return _from_run(plain[scan.end() if scan else 0 :])
    plain = _PLAIN_SCAN.sub("", plain).strip(_BLANK)
    if looks_like_urn(plain):
        return _read(lambda: [read_urn(plain)])
    if looks_like_link(plain):
        return _read(lambda: [read_link(plain)])
    if _IN_BRACKETS.match(plain):
        return _read(lambda: split_bracketed(plain))
    key = "" if invisible_in(plain) else own_key(plain)
    return _from_bare(plain) or Identifier("own", key, problem=mark_problem(plain))


def parse_as(text: str, ai: str) -> Identifier:
    """Read a text entered where a key of this AI belongs; bare digits count as the key."""
    found = parse(text)
    if found.kind == "own" and text[:1].isdigit():
        return parse(f"({ai}){text}")
    return found


def _from_run(text: str) -> Identifier:
    """Read a scan; some readers add the parentheses that the symbol does not hold."""
    split = split_bracketed if _IN_BRACKETS.match(text) else split_run
    return _read(lambda: split(text))


def _read(read: Callable[[], Sequence[Element]]) -> Identifier:
    """Return the crate's key among the elements, or the reason why none can be read."""
    try:
        elements = read()
    except ElementError as error:
        return Identifier("own", problem=str(error))
    for ai in _PREFERRED:
        for element in elements:
            if element.ai == ai:
                return _judge(element)
    return Identifier("own", problem="It has no GRAI (8003), GIAI (8004) or SSCC (00).")


def _from_bare(text: str) -> Identifier | None:
    """Read text that a person or a scanner without prefix gives; None for other text."""
    digits = text.replace(" ", "").replace("-", "")
    tight = text.replace(" ", "")
    if is_digits(digits) and len(digits) == _SSCC_LENGTH:
        return _eighteen(digits)
    if is_digits(digits) and len(digits) == 20 and digits.startswith(SSCC):
        return _judge(Element(SSCC, digits[2:]))
    if _BARE_START.match(tight):
        return _from_start(tight)
    if len(tight) > _SSCC_LENGTH and is_x_text(tight) and is_digits(tight[:2]):
        found = _from_run(tight)
        return found if found.valid else None
    return None


def _eighteen(digits: str) -> Identifier:
    """Return an SSCC without its 00, told apart from 8003 or 8004 and fourteen digits."""
    as_sscc = _judge(Element(SSCC, digits))
    if digits.startswith(f"{GRAI}0"):
        as_grai = _judge(Element(GRAI, digits[4:]))
        return as_grai if as_grai.valid or not as_sscc.valid else as_sscc
    if digits.startswith(GIAI) and not as_sscc.valid:
        return _judge(Element(GIAI, digits[4:]))
    return as_sscc


def _from_start(tight: str) -> Identifier:
    """Read a bare element string by the key at its start."""
    found = _from_run(tight)
    if found.kind != "own":
        return found
    first = _judge(Element(SSCC, tight[2:20]))
    return Identifier(
        first.kind,
        first.key,
        check_digit=first.check_digit,
        problem="It begins as an SSCC, but what follows the 18 digits cannot be read.",
    )


def _judge(element: Element) -> Identifier:
    if element.ai == SSCC:
        return _judge_sscc(element.value)
    if element.ai == GRAI:
        return _judge_grai(element.value)
    return _judge_giai(element.value)


def _judge_sscc(value: str) -> Identifier:
    if not is_digits(value) or len(value) != _SSCC_LENGTH:
        return Identifier(
            "sscc", value, problem=f"An SSCC has 18 digits, 0 to 9; {_length(value)}."
        )
    due = check_digit(value[:-1])
    return Identifier(
        "sscc", value, check_digit=due, problem=_digit_problem(value, due)
    )


def _judge_grai(value: str) -> Identifier:
    key, serial = value[:_HEAD], value[_HEAD:]
    if len(key) < _HEAD or not is_digits(key):
        problem = f"A GRAI begins with 14 digits, 0 to 9; {_length(value)}."
        return Identifier("grai", key, serial, problem=problem)
    due = check_digit(key[:-1])
    problem = ""
    if key[0] != "0":
        due = check_digit(key[1:-1])
        problem = "A GRAI begins with a zero after (8003)."
    problem = problem or _digit_problem(key, due) or _serial_problem(serial)
    return Identifier("grai", key, serial, due, problem)


def _serial_problem(serial: str) -> str:
    if len(serial) > _MOST_SERIAL:
        return f"A GRAI's serial has at most 16 characters; this one has {len(serial)}."
    return "" if is_x_text(serial) else _character_problem(serial)


def _judge_giai(value: str) -> Identifier:
    problem = ""
    if len(value) > _MOST_GIAI:
        problem = f"A GIAI has at most 30 characters; this one has {len(value)}."
    elif not is_x_text(value):
        problem = _character_problem(value)
    elif len(value) <= _LEAST_PREFIX or not is_digits(value[:_LEAST_PREFIX]):
        problem = "A GIAI begins with the digits of its owner's company prefix."
    return Identifier("giai", value, problem=problem)


def _length(value: str) -> str:
    if is_digits(value):
        return f"this one has {len(value)}"
    return "this one has other characters" if value else "none follow"


def _digit_problem(digits: str, due: str) -> str:
    if digits[-1] == due:
        return ""
    return (
        f"The check digit should be {due}, not {digits[-1]}: "
        "a digit is wrong or two are swapped."
    )


def _character_problem(text: str) -> str:
    bad = next(mark for mark in text if not is_x_text(mark))
    return f"The character {shown(bad)} is not allowed in a GS1 serial."
