"""What the security log is told of requests: refusals, exports, signing in."""

from collections.abc import Callable

from django.contrib.auth.signals import (
    user_logged_in,
    user_logged_out,
    user_login_failed,
)
from django.http import HttpRequest, HttpResponse

from config.addresses import client_address
from inventory.models import User
from inventory.security_log import address_now, told


class SecurityMiddleware:
    """Tells refusals and exports, and where each request came from."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on, and look at the answer."""
        token = address_now.set(client_address(request) or "")
        try:
            response = self.get_response(request)
            if response.status_code == 403:
                _tell(request, "refused: not allowed")
            elif response.headers.get("Content-Disposition", "")[:10] == "attachment":
                _tell(request, "exported")
        finally:
            address_now.reset(token)
        return response


def _tell(request: HttpRequest, outcome: str) -> None:
    match = request.resolver_match
    keys = match.kwargs.items() if match else ()
    told(
        f"{request.method} {match.view_name if match else 'no page'}",
        who=_name_of(getattr(request, "user", None)),
        outcome=outcome,
        **{f"of_{name}": value for name, value in keys if isinstance(value, int)},
    )


def _name_of(person: object) -> str:
    return person.get_username() if isinstance(person, User) else ""


def _signed_in(user: User, **_: object) -> None:
    told("sign in", who=_name_of(user), outcome="done")


def _signed_out(user: User | None, **_: object) -> None:
    told("sign out", who=_name_of(user), outcome="done")


def _not_signed_in(credentials: dict[str, str], **_: object) -> None:
    told("sign in", who=_known(credentials.get("username")), outcome="refused")


def _known(typed: str | None) -> str:
    """Return a name that somebody has: another may be a password in the wrong field."""
    found = User.objects.filter(username=typed or "").first()
    return _name_of(found) or "an unknown name"


# The framework's own signals: it offers no other place to hear of these.
user_logged_in.connect(_signed_in)
user_logged_out.connect(_signed_out)
user_login_failed.connect(_not_signed_in)
