"""A number as its search key: ASCII capitals, without whatever stands between.

The databases make the same key with ``upper`` and ``replace`` alone, so this knows no
letters but ASCII ones; what else may be meant, ``asked_keys`` asks as well.
"""

import string

from inventory.rules.codes.normal_keys import normal_key
from inventory.rules.core.text import normal_identifier, normal_pro

LEAST_PART = 3
"""From how many characters on a part finds its number: the length of a trigram."""

_GAPS = (0xA0, 0xB7, *range(0x2000, 0x2016), 0x202F, 0x205F, 0x2212, 0x3000)
SEPARATORS = string.punctuation + " \t" + "".join(map(chr, (*_GAPS, 0xFE58, 0xFE63)))
"""What is left out of a key: ASCII punctuation, spaces and dashes."""

_FOLD = str.maketrans(string.ascii_lowercase, string.ascii_uppercase, SEPARATORS)


def folded(text: str) -> str:
    """Return a number as it is stored as a search key."""
    return text.translate(_FOLD)


def asked_keys(typed: str, *, is_pro: bool = False) -> tuple[str, ...]:
    """Return the keys that a typed number may have; most often it is one.

    ``is_pro`` leaves out the word PRO, which bills print before the number.
    """
    text = normal_pro(typed) if is_pro else normal_identifier(typed)
    found = (folded(text), folded(normal_key(text)), folded(text.lower()))
    return tuple(dict.fromkeys(key for key in found if key))
