"""Cleaning what people and phones type, without losing a visible character."""

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


def clean_file_name(name: str) -> str:
    """Return the client's file name as harmless text, at most 100 characters."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return clean_text(last).replace("\n", " ").replace("\t", " ").strip()[:100]
