"""Where a request came from, as far as that can be trusted."""

from ipaddress import IPv6Address, ip_address, ip_network

from django.conf import settings
from django.http import HttpRequest

UNIX = "unix"
"""How the settings name whoever speaks through a Unix socket of this machine."""


def client_address(request: HttpRequest) -> str | None:
    """Return the address the request came from; None where nobody says it.

    Each proxy adds the address it saw as the last entry of X-Forwarded-For. Entries
    are read from the last on, as long as configured proxies wrote them; all earlier
    ones, and the header from anybody else, may be forged and are not read.
    """
    remote = _valid(request.META.get("REMOTE_ADDR", ""))
    if not _is_proxy(remote):
        return remote
    entries = request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")
    for entry in reversed(entries):
        seen = _valid(entry)
        if seen is None:
            break
        remote = seen
        if not _is_proxy(seen):
            break
    return remote


def _is_proxy(address: str | None) -> bool:
    trusted = settings.TRUSTED_PROXIES
    if address is None:
        return UNIX in trusted
    found = ip_address(address)
    return any(found in ip_network(one) for one in trusted if one != UNIX)


def _valid(text: str) -> str | None:
    try:
        found = ip_address(text.strip())
    except ValueError:
        return None
    # A socket of both families writes an IPv4 address as ::ffff:192.0.2.7.
    mapped = found.ipv4_mapped if isinstance(found, IPv6Address) else None
    return str(mapped or found)
