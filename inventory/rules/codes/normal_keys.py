"""A number as it is searched: letters and digits alone, whatever stands between."""

import unicodedata


def normal_key(text: str) -> str:
    """Return the text without case, spaces and separators.

    "2F0416/6", "2f-0416-6" and "2F 04166" have one key, so that any part of a mark
    finds it, typed with or without what stands between.
    """
    plain = unicodedata.normalize("NFKC", text).casefold()
    return "".join(letter for letter in plain if letter.isalnum())
