"""Cleaning what people and phones type, without losing a visible character."""

import re
import unicodedata

_BIDI = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f")


def clean_text(text: str) -> str:
    """Drop control and direction-changing characters; keep line breaks and tabs."""
    return "".join(
        mark
        for mark in text.replace("\r\n", "\n").replace("\r", "\n")
        if mark in "\n\t"
        or (unicodedata.category(mark) not in {"Cc", "Cs"} and mark not in _BIDI)
    )


_PRO_WORD = re.compile(r"^PRO(?:\s*(?:NO\.?|NUMBER))?[\s:#-]+(?=.)")


def normal_password(text: str) -> str:
    """Return the password as it is hashed: one form for what reads the same.

    NFKC, as NIST SP 800-63B-4 asks (from memory); spaces stay where they are.
    """
    return unicodedata.normalize("NFKC", text)


def normal_identifier(text: str) -> str:
    """Return a serial, PRO or mark as stored and searched: one form for all."""
    plain = unicodedata.normalize("NFKC", clean_text(text))
    return " ".join(plain.upper().split())


def normal_pro(text: str) -> str:
    """Return a PRO number without the word PRO, which bills print before it."""
    return _PRO_WORD.sub("", normal_identifier(text))


_EXTENSION = re.compile(r"(?i)[\s,;]*(?:ext(?:ension)?\.?|x|#)\s*(\d{1,6})\s*\Z")
_DIALABLE = re.compile(r"[0-9 ().\u2010-\u2013/-]*")


def dialed(phone: str) -> str:
    """Return what a link dials for a number as people write it, or nothing.

    "+1 (402) 555-0147 ext. 12" is "tel:+14025550147;ext=12" (RFC 3966, section 3: only
    digits and a leading plus, and the extension apart; read from memory).
    """
    text = unicodedata.normalize("NFKC", phone).strip()
    found = _EXTENSION.search(text)
    number = text[: found.start()] if found else text
    plus = "+" if number.startswith("+") else ""
    digits = "".join(mark for mark in number if mark in "0123456789")
    if not 3 <= len(digits) <= 15 or not _DIALABLE.fullmatch(number.removeprefix("+")):
        return ""
    return f"tel:{plus}{digits}" + (f";ext={found[1]}" if found else "")


def clean_file_name(name: str) -> str:
    """Return the client's file name as harmless text, at most 100 characters."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return clean_text(last).replace("\n", " ").replace("\t", " ").strip()[:100]


def mid_sentence(label: str) -> str:
    """Return a label for the middle of a sentence: "Exceptions on the POD" loses its E.

    A label that begins with an abbreviation, such as "POD not received", stays.
    """
    if label[:2].isupper():
        return label
    return label[:1].lower() + label[1:]


def capital(text: str) -> str:
    """Return the text with a capital first letter, the others as they are."""
    return text[:1].upper() + text[1:]
