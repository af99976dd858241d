"""GS1 Digital Link addresses and EPC names of crates, read and written.

Any domain and any path before the key is accepted (GS1 Digital Link, URI syntax);
what we write is always https://id.gs1.org, the canonical form. The keys of crates
take no qualifiers, so the key and its value end the path; data in the query string
says more about the crate, never which crate it is, and is not read.
"""

import re
from urllib.parse import quote, unquote, urlsplit

from inventory.rules.codes.gs1 import (
    GIAI,
    GRAI,
    SSCC,
    Element,
    ElementError,
    check_digit,
    is_digits,
)

CANONICAL = "https://id.gs1.org"

_KEYS = (SSCC, GRAI, GIAI)
_STRAY_PERCENT = re.compile(r"%(?![0-9A-Fa-f]{2})")
_LINK = re.compile(
    r"https?:|[a-z0-9][a-z0-9.-]*\.[a-z]{2,}/.*\b(?:00|8003|8004)/", re.IGNORECASE
)
_URN = re.compile(r"urn:", re.IGNORECASE)
_EPC = re.compile(r"urn:epc:id:(grai|sscc|giai):(.+)", re.IGNORECASE)
_HEAD = 13
_NO_KEY = "This link has no GRAI (8003), GIAI (8004) or SSCC (00)."
_NO_EPC = "This is not the EPC of a GRAI, GIAI or SSCC."


def looks_like_link(text: str) -> bool:
    """Return whether the text is an address of the web, with or without https://."""
    return bool(_LINK.match(text))


def looks_like_urn(text: str) -> bool:
    """Return whether the text is a URN."""
    return bool(_URN.match(text))


def link_of(element: Element) -> str:
    """Return the canonical Digital Link, its value percent-encoded, ``/`` as %2F."""
    return f"{CANONICAL}/{element.ai}/{quote(element.value, safe='')}"


def read_link(text: str) -> Element:
    """Return the key that a Digital Link names, percent-decoded once.

    A GRAI without its leading zero, which some systems print, gets it back. Raise
    ElementError where the address names no key of a crate.
    """
    address = text if "://" in text else f"https://{text}"
    try:
        parts = urlsplit(address)
    except ValueError:
        raise ElementError("This is not a readable web address.") from None
    if not parts.netloc:
        raise ElementError("This is not a readable web address.")
    steps = parts.path.removesuffix("/").split("/")
    places = [place for place, step in enumerate(steps[:-1]) if step in _KEYS]
    if not places:
        raise ElementError(_NO_KEY)
    # Only the key's value may follow a key, so the first of two belongs to the path.
    place = places[-1] if places[-1] == len(steps) - 2 else places[0]
    if place != len(steps) - 2:
        raise ElementError(
            "Something follows the key in this link. Write a / inside a serial as %2F."
        )
    return _with_zero(Element(steps[place], _decoded(steps[place + 1])))


def _with_zero(element: Element) -> Element:
    """Return a GRAI its leading zero where it plainly lacks it."""
    value = element.value
    head = value[:_HEAD]
    lacks = element.ai == GRAI and (len(value) == _HEAD or value[:1] != "0")
    is_whole = len(head) == _HEAD and is_digits(head)
    if lacks and is_whole and check_digit(head[:-1]) == head[-1]:
        return Element(GRAI, f"0{value}")
    return element


def _decoded(text: str) -> str:
    if _STRAY_PERCENT.search(text):
        raise ElementError("Write a % in a link as %25.")
    try:
        return unquote(text, errors="strict")
    except UnicodeDecodeError:
        raise ElementError("The link holds bytes that are not text.") from None


def read_urn(text: str) -> Element:
    """Return the key that an EPC name (urn:epc:id:…) encodes, check digit added.

    After the GS1 EPC Tag Data Standard: company prefix of 6 to 12 digits, then the
    asset type or the serial reference. Raise ElementError for any other URN.
    """
    match = _EPC.fullmatch(text)
    if not match:
        raise ElementError(_NO_EPC)
    scheme, prefix, rest = match[1].lower(), *_first_part(match[2])
    if scheme == "giai":
        return Element(GIAI, prefix + _decoded(rest))
    if scheme == "sscc":
        # The extension digit leads the serial reference in the name, the key in AI 00.
        body = rest[:1] + prefix + rest[1:]
        return Element(SSCC, _checked(body, 17))
    asset_type, dot, serial = rest.partition(".")
    if not dot or not serial:
        raise ElementError("An EPC of a GRAI ends with a dot and the crate's serial.")
    return Element(GRAI, f"0{_checked(prefix + asset_type, 12)}{_decoded(serial)}")


def _first_part(text: str) -> tuple[str, str]:
    prefix, _, rest = text.partition(".")
    if not (is_digits(prefix) and 6 <= len(prefix) <= 12 and rest):
        raise ElementError(_NO_EPC)
    return prefix, rest


def _checked(body: str, length: int) -> str:
    if len(body) != length or not is_digits(body):
        raise ElementError(
            f"This EPC must have {length} digits in all, without the check digit."
        )
    return body + check_digit(body)
