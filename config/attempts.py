"""How often a wrong password may be tried before the next try must wait.

Counted by name and address, by name alone, by address alone, and for a device that
signed in before by that device and name. A stranger who guesses at a name thereby
slows down strangers only (device cookies: OWASP, "Slow Down Online Guessing Attacks
with Device Cookies"). A try is counted before the password is looked at, so that many
at once get no further than many in turn; a right one is taken out again.

The counts are one small file of the data folder, shared by all workers: no query, no
row. What is lost with the file is a count.
"""

import fcntl
import hashlib
import logging
import os
import struct
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from ipaddress import ip_address, ip_network
from pathlib import Path

FORGOTTEN_AFTER = 3600.0  # seconds after the last wrong one
LONGEST_WAIT = 600.0  # seconds

_SLOTS = 16_384
_NEAR = 8
"""How many slots a key may lie in, from its own on."""

_SLOT = struct.Struct("<QdI")  # key, last try, count

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Bound:
    """From the ``free``-th wrong one on a wait follows, doubled with each."""

    free: int
    longest: float = LONGEST_WAIT

    def wait_after(self, count: int) -> float:
        """Return the seconds to wait after so many wrong ones."""
        doubled = min(count - self.free + 1, 20)
        return 0.0 if count < self.free else min(self.longest, 2.0**doubled)


ONE_PLACE = Bound(5)
"""One name from one address, or from one device that signed in before."""

ANYWHERE = Bound(20)
"""One name from all strange devices together."""

ONE_ADDRESS = Bound(100, longest=60)
"""All names from the strange devices of one address: a dealership may share it."""

Keys = Mapping[str, Bound]


def keys_of(name: str, *, address: str | None, device: str) -> dict[str, Bound]:
    """Return what a try counts under. ``device`` is empty for a strange one.

    Without an address there is only the name: all visitors would else be one place.
    """
    if device:
        return {f"name {name} on {device}": ONE_PLACE}
    keys = {f"name {name}": ANYWHERE}
    if address is not None:
        place = _place_of(address)
        keys |= {f"name {name} from {place}": ONE_PLACE, f"from {place}": ONE_ADDRESS}
    return keys


def _place_of(address: str) -> str:
    """Return the address; of IPv6 the /64, which one customer has whole."""
    found = ip_address(address)
    return str(ip_network((found, 64), strict=False)) if found.version == 6 else address


def begin_try(path: Path, keys: Keys, at: float) -> float:
    """Count a try under all of its keys and return 0, or the seconds to wait.

    A try that must wait counts for nothing. Where the file cannot be written nobody
    waits: a full disk must not close the door.
    """
    try:
        with _counts(path) as counts:
            waits = [counts.wait_of(key, bound, at) for key, bound in keys.items()]
            if max(waits) <= 0:
                for key in keys:
                    counts.add(key, at, 1)
            return max(0.0, *waits)
    except OSError as error:
        log.warning("Wrong passwords are not counted: %s", error)
        return 0.0


def was_right(path: Path, keys: Keys, at: float) -> None:
    """Take a try out again: its own place starts anew, the others lose one."""
    try:
        with _counts(path) as counts:
            for key, bound in keys.items():
                counts.add(key, at, -counts.of(key, at) if bound == ONE_PLACE else -1)
    except OSError as error:
        log.warning("Wrong passwords are not counted: %s", error)


@contextmanager
def _counts(path: Path) -> "Iterator[_Counts]":
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX)  # ends with the descriptor
        yield _Counts(descriptor)
    finally:
        os.close(descriptor)


class _Counts:
    """The open file, held alone."""

    def __init__(self, descriptor: int) -> None:
        self.descriptor = descriptor

    def of(self, key: str, at: float) -> int:
        """Return how many there were."""
        return self._find(key, at)[2]

    def wait_of(self, key: str, bound: Bound, at: float) -> float:
        """Return the seconds until the next try may be made."""
        _, last, count = self._find(key, at)
        return last + bound.wait_after(count) - at

    def add(self, key: str, at: float, more: int) -> None:
        """Change the count of a key; a wrong one more is the latest."""
        place, last, count = self._find(key, at)
        packed = _SLOT.pack(
            _home_of(key)[0], at if more > 0 else last, max(0, count + more)
        )
        os.pwrite(self.descriptor, packed, place)

    def _find(self, key: str, at: float) -> tuple[int, float, int]:
        """Return the place in the file, the last try and the count of a key."""
        name, home = _home_of(key)
        raw = os.pread(self.descriptor, _SLOT.size * _NEAR, home * _SLOT.size)
        slots = list(_SLOT.iter_unpack(raw.ljust(_SLOT.size * _NEAR, b"\0")))
        mine = next((n for n, slot in enumerate(slots) if slot[0] == name), None)
        if mine is not None and _worth(slots[mine], at):
            return (home + mine) * _SLOT.size, slots[mine][1], slots[mine][2]
        # A forgotten slot is free; where none is, the least count gives way.
        least = min(range(_NEAR), key=lambda n: _worth(slots[n], at))
        return (home + (least if mine is None else mine)) * _SLOT.size, at, 0


def _home_of(key: str) -> tuple[int, int]:
    digest = hashlib.sha256(key.encode()).digest()
    name, home = struct.unpack("<QI", digest[:12])
    return name, home % _SLOTS


def _worth(slot: tuple[int, float, int], at: float) -> int:
    # A clock that was set back must not lock anybody out for years.
    is_fresh = abs(at - slot[1]) < FORGOTTEN_AFTER
    return slot[2] if is_fresh else 0
