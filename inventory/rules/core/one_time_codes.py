"""Time-based one-time codes (RFC 6238), as every authenticator app makes them.

Twelve lines of the standard library: of the kept packages one brings tables and an
admin of its own, another replaces the whole sign-in, and a third holds these lines.
"""

import base64
import hashlib
import hmac
import struct
from urllib.parse import quote, urlencode

SECRET_BYTES = 20
"""RFC 4226, 4, R6 recommends 160 bits."""

STEP = 30  # seconds
DIGITS = 6
DRIFT = 1
"""Steps that a phone's clock may be off either way (RFC 6238, 5.2)."""


def code_at(
    secret: bytes, step: int, *, digits: int = DIGITS, algorithm: str = "sha1"
) -> str:
    """Return the code of a step (RFC 4226, 5.3), with its leading zeros."""
    digest = hmac.new(
        secret, struct.pack(">Q", step), getattr(hashlib, algorithm)
    ).digest()
    start = digest[-1] & 0x0F
    (number,) = struct.unpack(">I", digest[start : start + 4])
    return str((number & 0x7FFF_FFFF) % 10**digits).zfill(digits)


def step_at(seconds: int) -> int:
    """Return the step of a moment, in whole seconds since 1970."""
    return seconds // STEP


def matching_step(secret: bytes, code: str, *, seconds: int, after: int) -> int | None:
    """Return the step that the code belongs to; None where it is wrong or used.

    ``after`` is the last step that was used: a code counts once (RFC 6238, 5.2).
    """
    now = step_at(seconds)
    found = None
    for step in range(now - DRIFT, now + DRIFT + 1):
        is_it = hmac.compare_digest(code_at(secret, step).encode(), code.encode())
        if is_it and step > after:
            found = step
    return found


def letters_of(secret: bytes) -> str:
    """Return the secret as an app takes it typed: Base32 without padding."""
    return base64.b32encode(secret).decode().rstrip("=")


def address_of_secret(secret: bytes, *, name: str, issuer: str) -> str:
    """Return what an app reads from a QR code, in the form all of them know."""
    label = quote(f"{issuer}:{name}", safe="")
    return f"otpauth://totp/{label}?" + urlencode(
        {"secret": letters_of(secret), "issuer": issuer}, quote_via=quote
    )
