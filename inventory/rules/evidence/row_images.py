"""The image of a row: every stored value in the form a sealed record can hold.

A record in the chain holds no float and no unlimited text, so each value has one
short form: whole numbers, text, true, false and none as they are; moments in UTC;
long text by its SHA-256.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime

LONGEST = 300
"""Text longer than this is in an image by its hash."""

Scalar = str | int | bool | None | dict[str, str]
Image = Mapping[str, Scalar]


def scalar_of(value: object) -> Scalar:
    """Return the one short form of a stored value; moments must be aware."""
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date):
        return value.isoformat()
    return short_text(str(value))


def json_scalar(value: object) -> Scalar:
    """Return the short form of a JSON value: its keys sorted, no spaces."""
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return short_text(text)


def short_text(text: str) -> Scalar:
    """Return the text itself, or where it is long its SHA-256."""
    return text if len(text) <= LONGEST else _hashed(text)


def hash_alone(value: str | bytes | memoryview | None) -> Scalar:
    """Return a secret by its SHA-256, bytes by that of their hex.

    Nothing can be guessed from it: a password is stored with its own salt, and what
    an app shares was drawn.
    """
    if value is None:
        return None
    return _hashed(value if isinstance(value, str) else bytes(value).hex())


def _hashed(text: str) -> dict[str, str]:
    data = text.encode("utf-8", "surrogatepass")
    return {"sha256": hashlib.sha256(data).hexdigest()}


def veil(image: Image, names: Iterable[str]) -> Image:
    """Return the image under one hash, for a record that others get to read.

    The names of the columns stay, so that a column added later does not matter. It
    hides the values as long as one of the columns cannot be guessed.
    """
    kept = sorted(names)
    text = json.dumps([image.get(name) for name in kept], ensure_ascii=False)
    data = text.encode("utf-8", "surrogatepass")
    digest = hashlib.sha256(data).hexdigest()
    return {"columns": ",".join(kept), "veiled": {"sha256": digest}}


def difference(sealed: Image, found: Image) -> str:
    """Return the first column that differs, as text, or nothing.

    A column younger than the image is not compared: the image does not contain it.
    """
    if "veiled" in sealed:
        under = veil(found, str(sealed["columns"]).split(","))
        return "" if under == sealed else "one of its columns is not as it was sealed"
    for name in sorted(sealed):
        if name not in found:
            return f"{name} is gone"
        if not _is_same(sealed[name], found[name]):
            was, now = in_words(sealed[name]), in_words(found[name])
            return f"{name} is {now} and was sealed as {was}"
    return ""


def _is_same(one: Scalar, other: Scalar) -> bool:
    return type(one) is type(other) and one == other


def in_words(value: Scalar) -> str:
    """Return a value in the form used in a sentence."""
    if isinstance(value, dict):
        return f"a text with SHA-256 {value.get('sha256', '')[:12]}"
    text = json.dumps(value, ensure_ascii=True)
    return text if len(text) <= 80 else f"{text[:77]}..."
