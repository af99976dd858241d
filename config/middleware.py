"""What happens around every page: headers, broken bodies, passing faults."""

import logging
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.core.exceptions import (
    RequestDataTooBig,
    TooManyFieldsSent,
    TooManyFilesSent,
)
from django.http import HttpRequest, HttpResponse, UnreadablePostError
from django.http.multipartparser import MultiPartParserError
from django.http.response import HttpResponseBase

from config.body import COUNTER, CountedBody
from config.errors import unavailable_because, unavailable_page
from config.pages import plain_page
from config.pin import keeps_to_dock
from config.proof import ask_for_proof
from config.second_step import lacks_second_step

log = logging.getLogger(__name__)

_Answer = Callable[[HttpRequest], HttpResponse]

_FORM_TYPES = frozenset({"multipart/form-data", "application/x-www-form-urlencoded"})

# Addresses that programs ask for, with a secret in the request.
_FOR_PROGRAMS = ("/metrics", "/calendar/")

# Our pages use the camera (photos, labels); nothing else is allowed.
PERMISSIONS_POLICY = "camera=(self), microphone=(), geolocation=(), payment=(), usb=()"


class ClearTextMiddleware:
    """Refuses a program that sends its secret by plain HTTP, where HTTPS is a must.

    People are led on to HTTPS; a program would be led on each time, and nobody would
    notice that its secret can be read on the way.
    """

    def __init__(self, get_response: _Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer 403 to it, and pass on everything else."""
        is_clear = settings.SECURE_SSL_REDIRECT and not request.is_secure()
        if is_clear and request.path.startswith(_FOR_PROGRAMS):
            said = "Ask by https. What was sent with this could be read on its way.\n"
            return HttpResponse(said, status=403, content_type="text/plain")
        return self.get_response(request)


class HeadersMiddleware:
    """Add the headers no other part adds."""

    def __init__(self, get_response: _Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Name what the page may use; keep signed-in pages out of every cache."""
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS_POLICY)
        if "Cache-Control" not in response.headers and _may_be_signed_in(request):
            response.headers["Cache-Control"] = "no-store, private"
        return response


def _may_be_signed_in(request: HttpRequest) -> bool:
    # By the cookie alone: whether it is a good one only the database knows, and a
    # page that needs no database must not wait for it.
    return settings.SESSION_COOKIE_NAME in request.COOKIES


class SignedInMiddleware(LoginRequiredMiddleware):
    """Asks who is signed in only where that matters: health needs no session.

    Then for what else that person must show before this page.
    """

    def process_view(
        self,
        request: HttpRequest,
        view_func: Callable[..., HttpResponseBase],
        view_args: tuple[object, ...],
        view_kwargs: dict[str, object],
    ) -> HttpResponseBase | None:
        """Let a page that is open to all pass, without a look at the database."""
        if not getattr(view_func, "login_required", True):
            return None
        signed_out = super().process_view(request, view_func, view_args, view_kwargs)
        if signed_out is not None:
            return signed_out
        asked = keeps_to_dock(request) or lacks_second_step(request)
        return asked or ask_for_proof(request)


class UnavailableMiddleware:
    """Turns a busy or stopped database or a full disk into a 503 page."""

    def __init__(self, get_response: _Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self.get_response(request)

    def process_exception(
        self, request: HttpRequest, exception: Exception
    ) -> HttpResponse | None:
        """Answer a passing fault from a view; leave all others to Django."""
        fault = unavailable_because(exception)
        if fault is None:
            return None
        log.error("%s %s: %s", request.method, request.path, exception)
        return unavailable_page(request, fault)


class BodyMiddleware:
    """Reads the body once, early, so that a broken one gets a clear page."""

    def __init__(self, get_response: _Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Refuse a body that is too large, cut off or not readable."""
        return _refusal(request) or self.get_response(request)


def _refusal(request: HttpRequest) -> HttpResponse | None:
    announced = _announced_bytes(request)
    if announced > settings.MAX_REQUEST_BYTES:
        return _too_large()
    if request.method != "POST":
        return None
    try:
        request.POST  # noqa: B018 - reading it is what parses the body
    except (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent) as error:
        return _too_much(error)
    except (MultiPartParserError, UnreadablePostError):
        return _cut_off()
    except OSError as error:
        return _spool_fault(request, error)
    return _cut_off() if _came_short(request, announced) else None


def _announced_bytes(request: HttpRequest) -> int:
    try:
        return int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return 0


def _came_short(request: HttpRequest, announced: int) -> bool:
    counter = request.META.get(COUNTER)
    if request.content_type not in _FORM_TYPES or not isinstance(counter, CountedBody):
        return False
    return not counter.has_all_of(announced)


def _too_large() -> HttpResponse:
    megabytes = settings.MAX_REQUEST_BYTES // (1024 * 1024)
    return plain_page(
        status=413,
        title="Too large to send at once",
        sentences=[
            f"You can send at most {megabytes} MB at once.",
            "Nothing was saved. Go back and send fewer or smaller photos.",
        ],
    )


def _too_much(error: Exception) -> HttpResponse:
    status = 413
    if isinstance(error, TooManyFilesSent):
        status = 400  # it is their number, not their size
        limit = settings.DATA_UPLOAD_MAX_NUMBER_FILES
        what = f"You can send at most {limit} files at once."
    elif isinstance(error, TooManyFieldsSent):
        what = (
            f"You can send at most {settings.DATA_UPLOAD_MAX_NUMBER_FIELDS} fields "
            "at once."
        )
    else:
        what = "The text on this page is too long."
    return plain_page(
        status=status,
        title="Too much to send at once",
        sentences=[what, "Nothing was saved. Go back and send it in smaller parts."],
    )


def _cut_off() -> HttpResponse:
    return plain_page(
        status=400,
        title="Upload incomplete",
        sentences=[
            "The connection dropped while the page or photo was being sent.",
            "Nothing was saved. The photo is still on your phone.",
            "Go back and send it again.",
        ],
    )


def _spool_fault(request: HttpRequest, error: OSError) -> HttpResponse:
    fault = unavailable_because(error)
    if fault is None:
        raise error
    log.error("%s %s: %s", request.method, request.path, error)
    return unavailable_page(request, fault)
