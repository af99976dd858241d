"""Ways to other machines that a listener could read or answer in their place."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit

_HERE = {"localhost", "127.0.0.1", "::1", ""}


def _is_here(host: str) -> bool:
    return host in _HERE or host.startswith("/")  # a folder is a socket of this machine


def open_ways(
    *, database: Mapping[str, Any], mail_host: str, mail_is_locked: bool, bucket: str
) -> list[str]:
    """Return a sentence for each way to another machine without a checked certificate.

    ``database`` is Django's entry of a database, ``bucket`` the address of the bucket's
    server or nothing. Ways that stay on this machine are left out.
    """
    found = []
    mode = database.get("OPTIONS", {}).get("sslmode")
    host = str(database.get("HOST") or "")
    if not _is_here(host) and mode != "verify-full":
        found.append(
            f"DATABASE_URL reaches {host} without a checked certificate. Put "
            "?sslmode=verify-full at its end."
        )
    if not (_is_here(mail_host) or mail_is_locked):
        found.append(f"Mail goes to {mail_host} in the clear. Set EMAIL_USE_TLS=on.")
    way = urlsplit(bucket)
    if way.scheme == "http" and not _is_here(way.hostname or ""):
        found.append(
            f"Originals go to {way.hostname} in the clear. Give an https address."
        )
    return found
