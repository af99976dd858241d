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
