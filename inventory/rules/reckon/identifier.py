"""What a crate's identifier is: which key, whether it is valid, its other forms."""

from typing import Any

from inventory.rules.codes.identifiers import parse
from inventory.rules.reckon.reading import Reader, ReckonError


def reckon_identifier(obj: dict[str, Any]) -> dict[str, Any]:
    """Return what ``text`` names; null where nothing applies.

    An invalid identifier is an answer with ``valid`` false and its ``problem``, however
    long or strange the text. Raise ReckonError only for a question without a text.
    """
    reader = Reader(obj, keys=("text",), required=("text",))
    text = reader.raw("text")
    if not isinstance(text, str):
        raise ReckonError('"text" must be a text.')
    found = parse(text)
    return {
        "kind": found.kind,
        "key": found.key or None,
        "serial": found.serial or None,
        "check_digit": found.check_digit or None,
        "valid": found.valid,
        "digital_link": found.digital_link or None,
        "element_string": found.element_string or None,
        "problem": found.problem or None,
    }
