"""Error pages for faults of the machine, not of the person."""

import errno
import sys
from dataclasses import dataclass

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.template import TemplateDoesNotExist
from django.template.loader import render_to_string

from config.pages import plain_page, resend_form

# The disk's own refusals: full, over quota, file too large, read-only.
_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS})
# PostgreSQL: serialization failure, deadlock, lock not available, too many connections.
_BUSY_STATES = frozenset({"40001", "40P01", "55P03", "53300"})
_BUSY_WORDS = ("database is locked", "database table is locked")
_NO_ROOM_WORDS = ("disk is full", "readonly database", "disk i/o error")
_NO_ROOM_STATES = frozenset({"53100", "58030"})


@dataclass(frozen=True)
class Unavailable:
    """A fault that passes: its title, its sentence, and when to come back."""

    title: str
    sentence: str
    retry_seconds: int


BUSY = Unavailable(
    title="Busy",
    sentence="Others were saving at the same time, and the wait got too long.",
    retry_seconds=5,
)
NO_ROOM = Unavailable(
    title="No room to save",
    sentence="The server's disk is full or cannot be written to. You can still read "
    "pages. Call your administrator.",
    retry_seconds=300,
)


def unavailable_because(error: BaseException | None) -> Unavailable | None:
    """Return the passing fault behind ``error``; None where it is a real failure."""
    if isinstance(error, DatabaseError):
        return _database_fault(error)
    if isinstance(error, OSError) and error.errno in _NO_ROOM:
        return NO_ROOM
    return None


def _database_fault(error: DatabaseError) -> Unavailable | None:
    words = str(error).lower()
    state = getattr(error.__cause__, "sqlstate", None)
    if state in _BUSY_STATES or any(part in words for part in _BUSY_WORDS):
        return BUSY
    if state in _NO_ROOM_STATES or any(part in words for part in _NO_ROOM_WORDS):
        return NO_ROOM
    # The writer gate of the database could not be opened.
    return NO_ROOM if getattr(error.__cause__, "errno", None) in _NO_ROOM else None


def unavailable_page(request: HttpRequest, fault: Unavailable) -> HttpResponse:
    """Return the 503 page for ``fault``, with what was typed ready to send again."""
    sentences = [fault.sentence]
    form = resend_form(request)
    if form is not None:
        sentences.append(
            "Nothing was saved. What you typed is still on this page. Wait a moment, "
            "then save it again."
        )
    elif request.method == "POST":
        sentences.append(
            "Nothing was saved. The photo is still on your phone. Go back, wait a "
            "moment, then send it again."
        )
    else:
        sentences.append(
            "Nothing was changed. Wait a moment, then load the page again."
        )
    response = plain_page(
        status=503, title=fault.title, sentences=sentences, form=form or ""
    )
    response["Retry-After"] = str(fault.retry_seconds)
    return response


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
