"""Error pages for faults of the machine, not of the person."""

import errno
import sys
from dataclasses import dataclass

from django.db import Error as AnyDatabaseError
from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.template import TemplateDoesNotExist
from django.template.loader import render_to_string

from config.pages import plain_page, resend_form, typed_text
from inventory.evidence.pictures.renditions import (
    DecoderStoppedError,
    UnsealedPictureError,
)
from inventory.evidence.store.homes import HomeUnreachableError, StoreUnavailableError

# The disk's own refusals: full, over quota, file too large, read-only.
_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS})
# PostgreSQL: serialization failure, deadlock, lock not available, too many connections.
_BUSY_STATES = frozenset({"40001", "40P01", "55P03", "53300"})
_BUSY_WORDS = ("database is locked", "database table is locked")
_NO_ROOM_WORDS = ("disk is full", "readonly database", "disk i/o error")
_NO_ROOM_STATES = frozenset({"53100", "58030"})
# PostgreSQL: a statement that took longer than it may.
_SLOW_STATES = frozenset({"57014"})
# PostgreSQL: stopped by its administrator, crashed, starting; all of class 08, connection.
_GONE_STATES = frozenset({"57P01", "57P02", "57P03"})
_GONE_CLASS = "08"
_GONE_WORDS = ("unable to open database file", "connection is closed")


@dataclass(frozen=True)
class Unavailable:
    """A fault that passes: its title, its sentence, and when to come back."""

    title: str
    sentence: str
    retry_seconds: int
    may_be_saved: bool = False


BUSY = Unavailable(
    title="Busy",
    sentence="Others were saving at the same time, and the wait got too long.",
    retry_seconds=5,
)
SLOW = Unavailable(
    title="Too slow",
    sentence="The database took too long over this page and was stopped.",
    retry_seconds=15,
)
NO_ROOM = Unavailable(
    title="No room to save",
    sentence="The server's disk is full or cannot be written to. You can still read "
    "pages. Call your administrator.",
    retry_seconds=300,
)
GONE = Unavailable(
    title="The database does not answer",
    sentence="The program runs, but its database was stopped or cannot be reached.",
    retry_seconds=15,
    may_be_saved=True,  # it may have stopped between saving and saying so
)

AWAY = Unavailable(
    title="The storage of photos does not answer",
    sentence="The program runs, but the bucket with photos and documents cannot be "
    "reached or refuses. Call your administrator.",
    retry_seconds=60,
)

UNREAD = Unavailable(
    title="A photo could not be read",
    sentence="A photo could not be read just now: the server is short of memory or is "
    "being stopped, or the storage of photos does not answer.",
    retry_seconds=15,
)

UNSEALED = Unavailable(
    title="A photo cannot be printed",
    sentence="The copy of a photo is not the one that was sealed, so no document is "
    "made with it. Ask your administrator to run manage.py read_photos, then verify.",
    retry_seconds=300,
)

_BY_KIND: tuple[tuple[type[Exception], Unavailable], ...] = (
    (HomeUnreachableError, AWAY),
    (DecoderStoppedError, UNREAD),
    (UnsealedPictureError, UNSEALED),
    (StoreUnavailableError, NO_ROOM),
)


def unavailable_because(error: BaseException | None) -> Unavailable | None:
    """Return the passing fault behind ``error``; None where it is a real failure."""
    if isinstance(error, AnyDatabaseError):
        # A rollback over a lost connection fails too, and hides what came first.
        return _database_fault(error) or unavailable_because(error.__context__)
    for kind, fault in _BY_KIND:
        if isinstance(error, kind):
            return fault
    if isinstance(error, OSError) and error.errno in _NO_ROOM:
        return NO_ROOM
    return None


def _database_fault(error: AnyDatabaseError) -> Unavailable | None:
    if _is_gone(error):
        return GONE
    words = str(error).lower()
    state = getattr(error.__cause__, "sqlstate", None)
    if state in _BUSY_STATES or any(part in words for part in _BUSY_WORDS):
        return BUSY
    if state in _SLOW_STATES:
        return SLOW
    if state in _NO_ROOM_STATES or any(part in words for part in _NO_ROOM_WORDS):
        return NO_ROOM
    # The writer gate of the database could not be opened.
    return NO_ROOM if getattr(error.__cause__, "errno", None) in _NO_ROOM else None


def _is_gone(error: AnyDatabaseError) -> bool:
    if not isinstance(error, OperationalError | InterfaceError):
        return False
    if any(part in str(error).lower() for part in _GONE_WORDS):
        return True
    # What the server said has a state; what the connection itself reports has none.
    state: str | None = getattr(error.__cause__, "sqlstate", "other than PostgreSQL")
    return state is None or state[:2] == _GONE_CLASS or state in _GONE_STATES


def unavailable_page(request: HttpRequest, fault: Unavailable) -> HttpResponse:
    """Return the 503 page for ``fault``, with what was typed ready to send again."""
    form = resend_form(request)
    sentences = [fault.sentence, *_what_next(request, fault, can_resend=bool(form))]
    response = plain_page(
        status=503,
        title=fault.title,
        sentences=sentences,
        form=form or typed_text(request),
    )
    response["Retry-After"] = str(fault.retry_seconds)
    return response


def _what_next(
    request: HttpRequest, fault: Unavailable, *, can_resend: bool
) -> list[str]:
    if request.method != "POST":
        return ["Nothing was changed. Wait a moment, then load the page again."]
    saved = (
        "What you sent was saved whole or not at all."
        if fault.may_be_saved
        else "Nothing was saved."
    )
    if can_resend:
        kept = (
            "What you typed is still on this page. Wait a moment, then save it again."
        )
        return [f"{saved} {kept} It is never saved twice."]
    kept = " What you typed is below: copy it." if typed_text(request) else ""
    had_files = request.FILES or not request.POST  # a body that could not be read
    photo = " The photo is still on your phone." if had_files else ""
    return [f"{saved}{photo}{kept} Wait a moment, go back, then send it again."]


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer an error no view expected: 503 for a passing fault, 500 otherwise."""
    fault = unavailable_because(sys.exc_info()[1])
    if fault is not None:
        return unavailable_page(request, fault)
    try:
        return HttpResponse(render_to_string("500.html"), status=500)
    except TemplateDoesNotExist:
        return plain_page(
            status=500,
            title="Something went wrong",
            sentences=[
                "The fault is in the program, not in what you did. It has been logged.",
                "What you just sent may not be saved. Check before you send it again.",
            ],
        )


def csrf_failure(_request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form whose CSRF token is missing or expired."""
    del reason  # for the log, which Django writes; it does not help the person
    return plain_page(
        status=403,
        title="This page is out of date",
        sentences=[
            "You opened it before you last signed in, or cookies are turned off.",
            "Nothing was saved. Go back, reload the page, then send it again.",
        ],
    )
