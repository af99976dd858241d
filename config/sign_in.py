"""Who is knocking, and what a person reads when the door is shut for a while."""

from ipaddress import ip_address

from django.http import HttpRequest, HttpResponse

from config.pages import plain_page


def client_address(request: HttpRequest) -> str | None:
    """Return the address the request came from, as far as it can be believed.

    A proxy on this machine adds the address it saw as the last entry of
    X-Forwarded-For; all earlier entries, and the header from anybody else, may be
    forged and are not read.
    """
    remote = _valid(request.META.get("REMOTE_ADDR", ""))
    if remote is None or not ip_address(remote).is_loopback:
        return remote
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "")
    return _valid(forwarded.rpartition(",")[2]) or remote


def _valid(text: str) -> str | None:
    try:
        return str(ip_address(text.strip()))
    except ValueError:
        return None


def locked_out(
    _request: HttpRequest, _original: HttpResponse | None, _credentials: dict[str, str]
) -> HttpResponse:
    """Answer a sign-in after too many wrong passwords."""
    response = plain_page(
        status=429,
        title="Wait ten minutes",
        sentences=[
            "There were too many wrong passwords for this name or from this place.",
            "Nothing is lost. Wait ten minutes, then sign in again.",
            "If it was not you, tell your administrator.",
        ],
    )
    response["Retry-After"] = "600"
    return response
