"""When a mail is tried again, and when it is given up.

RFC 5321, 4.5.4.1 (from memory): a sender waits at least 30 minutes between tries of
one mail, may try sooner at first, and goes on for at least four to five days. Reply
codes: 4yz asks to try again, 5yz not to (4.2.1).
"""

from datetime import timedelta

_FIRST = tuple(timedelta(minutes=minutes) for minutes in (1, 2, 5, 10, 20))
_THEN = timedelta(minutes=30)
_AFTER_A_DAY = timedelta(hours=2)
_DAY = timedelta(days=1)

GIVES_UP_AFTER = timedelta(days=5)

_OUR_OWN_TROUBLE = frozenset({530, 534, 535, 538})
"""Signing in to our own mail server failed (RFC 4954): no fault of the mail."""


def wait_after(tries: int, waited: timedelta) -> timedelta | None:
    """Return how long to wait after this many tries; None where it is given up.

    ``waited`` is the time since the mail was first due. Raise ValueError for less
    than one try.
    """
    if tries < 1:
        raise ValueError(tries)
    if waited >= GIVES_UP_AFTER:
        return None
    if tries <= len(_FIRST):
        return _FIRST[tries - 1]
    return _THEN if waited < _DAY else _AFTER_A_DAY


def is_final(code: int | None) -> bool:
    """Say whether a mail server's reply code ends the tries. None: it never replied."""
    return code is not None and 500 <= code < 600 and code not in _OUR_OWN_TROUBLE
