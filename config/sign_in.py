"""Signing in, and the page after too many wrong passwords."""

from ipaddress import ip_address
from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse

from config.pages import plain_page
from inventory.models import User

LONGEST_PASSWORD = 128


class SignInForm(AuthenticationForm):
    """Asks for name and password; a megabyte of password is not even hashed."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        password = self.fields["password"]
        if isinstance(password, forms.CharField):
            password.validators.append(_check_length)


class SignInView(LoginView):
    """Signs in; a form with mistakes answers 422, like every form here."""

    authentication_form = SignInForm

    def get_context_data(self, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - Django's
        """Say so where nobody can sign in yet."""
        return super().get_context_data(is_empty=not User.objects.exists(), **more)

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Show the form again."""
        answer = super().form_invalid(form)
        answer.status_code = 422
        return answer


class LongestPassword:
    """Refuses a new password that is too long."""

    def validate(self, password: str, user: object = None) -> None:
        """Raise ValidationError for one that is too long."""
        del user
        _check_length(password)

    def get_help_text(self) -> str:
        """Return the hint on the page."""
        return f"Use at most {LONGEST_PASSWORD} characters."


def _check_length(password: str) -> None:
    if len(password) > LONGEST_PASSWORD:
        raise ValidationError(f"Use at most {LONGEST_PASSWORD} characters.")


def client_address(request: HttpRequest) -> str | None:
    """Return the address the request came from, as far as it can be trusted.

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
            "There were too many wrong passwords for this name or from this address.",
            "Nothing is lost. Wait ten minutes, then sign in again.",
            "If it was not you, call your administrator.",
        ],
    )
    response["Retry-After"] = "600"
    return response
