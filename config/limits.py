"""How often one person, and one address, may do what costs the server much.

Counted in one small file of the data folder, shared by all workers: no query, no row.
A count lives for ten minutes by the clock. What is lost with the file is a count.
"""

import fcntl
import hashlib
import logging
import math
import os
import struct
import time
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse

from config.addresses import client_address
from config.pages import plain_page, resend_form, typed_text
from inventory.security_log import told
from inventory.views.core.ways import is_phone

WINDOW = 600  # seconds
ADDRESS_FACTOR = 10
"""A whole dealership may share one address."""

_SLOTS = 4096
_NEAR = 8
"""How many slots a key may lie in, from its own on."""

_SLOT = struct.Struct("<QII")  # key, window, count
_PACKETS = frozenset({"build_packet", "make_lighter", "packet_preview"})
_SEARCHES = frozenset({"search", "find_crate"})
_WORDS = {
    "uploads": "photos and files",
    "exports": "lists as files",
    "searches": "searches",
    "packets": "claim files",
}

log = logging.getLogger(__name__)


def count_in(path: Path, key: str, at: float) -> int:
    """Count one more for this key; return how many there are in this window."""
    digest = hashlib.sha256(key.encode()).digest()
    name, home = struct.unpack("<QI", digest[:12])
    window = int(at // WINDOW)
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX)  # ends with the descriptor
        return _count(descriptor, name, home % _SLOTS, window)
    finally:
        os.close(descriptor)


def _count(descriptor: int, name: int, home: int, window: int) -> int:
    raw = os.pread(descriptor, _SLOT.size * _NEAR, home * _SLOT.size)
    slots = list(_SLOT.iter_unpack(raw.ljust(_SLOT.size * _NEAR, b"\0")))
    mine = [n for n, slot in enumerate(slots) if slot[:2] == (name, window)]
    # A slot of an older window is free; where none is, the least count gives way.
    chosen = (
        mine[0] if mine else min(range(_NEAR), key=lambda n: _worth(slots[n], window))
    )
    count = slots[chosen][2] + 1 if mine else 1
    place = (home + chosen) * _SLOT.size
    os.pwrite(descriptor, _SLOT.pack(name, window, count), place)
    return count


def _worth(slot: tuple[int, int, int], window: int) -> int:
    return slot[2] if slot[1] == window else 0


class LimitsMiddleware:
    """Answers 429 with a sentence where one person or address asks too much."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_view: object) -> HttpResponse | None:
        """Count what is limited; refuse what is over."""
        kind = _kind_of(request)
        most = settings.LIMITS.get(kind, 0)
        if not most:
            return None
        at = time.time()
        person = request.user.get_username() if request.user.is_authenticated else ""
        address = client_address(request)
        # Nobody may say it, behind a socket: visitors must not share one count.
        asked = {f"{kind} from {address}": most * ADDRESS_FACTOR} if address else {}
        if person:
            asked[f"{kind} by {person}"] = most
        try:
            path = settings.DATA_DIR / "limits.counts"
            over = [key for key, top in asked.items() if count_in(path, key, at) > top]
        except OSError as error:  # a full disk must not close the door
            log.warning("Nothing is limited: %s", error)
            return None
        if not over:
            return None
        told(kind, who=person, outcome="refused: too many")
        return too_many(request, kind, at)


def _kind_of(request: HttpRequest) -> str:
    name = request.resolver_match.view_name if request.resolver_match else ""
    if request.method == "POST" and request.FILES:
        return "uploads"
    if name in _PACKETS and (request.method == "POST" or name == "packet_preview"):
        return "packets"
    if request.GET.get("as") in {"csv", "xlsx"}:
        return "exports"
    return "searches" if name in _SEARCHES and request.GET else ""


def too_many(request: HttpRequest, kind: str, at: float) -> HttpResponse:
    """Return the page: what happened, what is saved, when to come back."""
    seconds = WINDOW - int(at % WINDOW)
    minutes = math.ceil(seconds / 60)
    wait = "Wait a minute" if minutes == 1 else f"Wait {minutes} minutes"
    sentence = f"You asked for too many {_WORDS[kind]} at once. Nothing was saved."
    if kind == "uploads":
        sentence = (
            "Too many photos and files were sent at once. These were not saved; they "
            "are still on your phone."
        )
    if is_phone(request):
        answer: HttpResponse = JsonResponse({"error": sentence}, status=429)
    else:
        form = resend_form(request)
        answer = plain_page(
            status=429,
            title="Too many at once",
            sentences=[sentence, f"{wait}, then do it again."],
            form=form or typed_text(request),
        )
    answer["Retry-After"] = str(seconds)
    return answer
