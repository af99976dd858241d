"""Signing in: the name and the password, then the second step where there is one."""

import time
from functools import cached_property
from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.crypto import constant_time_compare
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.generic import FormView

from config import sessions
from config.devices import remember
from config.passwords import check_length
from config.proof import mark_proved
from config.shown_again import ShownAgain
from config.step_form import CodeForm, has_factor, must_have_factor
from config.tries import Tries
from inventory.actions.people.dock_phones import phone_of
from inventory.actions.people.passwords import store_anew
from inventory.models import User
from inventory.views.core.clock import now

HALF_IN = "half_in"
HALF_IN_LASTS = 600  # seconds for the second step


class SignInForm(AuthenticationForm):
    """Asks for name and password; a megabyte of password is not even hashed."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        password = self.fields["password"]
        if isinstance(password, forms.CharField):
            password.validators.append(check_length)

    @cached_property
    def tries(self) -> Tries:
        """The tries of the name that was typed."""
        request: Any = self.request
        return Tries(request, self.cleaned_data["username"])

    def clean(self) -> dict[str, Any]:
        """Look at the password, unless too many were wrong."""
        if self.cleaned_data.get("username") and self.cleaned_data.get("password"):
            self.tries.begin()
        return super().clean()


class SignInView(ShownAgain, LoginView):
    """Signs in; a form with mistakes answers 422, like every form here."""

    authentication_form = SignInForm

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:  # noqa: ANN401 - Django's
        """Show the form; a shared phone asks for a PIN unless told otherwise."""
        if settings.DOCK_COOKIE_NAME in request.COOKIES and "with" not in request.GET:
            secret = request.COOKIES[settings.DOCK_COOKIE_NAME]
            if phone_of(secret):
                return redirect("pin_sign_in")
        return super().get(request, *args, **kwargs)

    def get_context_data(self, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - Django's
        """Say so where nobody can sign in yet."""
        return super().get_context_data(is_empty=not User.objects.exists(), **more)

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in, or ask for the second step first."""
        person: Any = form.get_user()
        if isinstance(form, SignInForm):
            form.tries.were_right()
            if person.is_stored_old:
                typed = form.cleaned_data["password"]
                person = store_anew(person=person, at=now(), password=typed)
        page = self.get_success_url()
        if not has_factor(person):
            return sign_in(self.request, person, page)
        self.request.session.cycle_key()
        self.request.session[HALF_IN] = {
            "person": person.pk,
            "hash": person.get_session_auth_hash(),
            "at": time.time(),
            "page": page,
        }
        return redirect("sign_in_code")


@method_decorator(
    [login_not_required, never_cache, sensitive_post_parameters()], name="dispatch"
)
class CodeView(ShownAgain, FormView):  # type: ignore[type-arg]
    """Asks whoever typed the right password for the second step."""

    template_name = "registration/sign_in_code.html"
    form_class = CodeForm

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
        """Send whoever did not begin, or waited too long, back to the beginning."""
        self.half: dict[str, Any] = request.session.get(HALF_IN) or {}
        person = User.objects.filter(
            pk=self.half.get("person", 0), is_active=True
        ).first()
        late = not 0 <= time.time() - self.half.get("at", 0) <= HALF_IN_LASTS
        if person is None or late or not has_factor(person) or not self._holds(person):
            request.session.pop(HALF_IN, None)
            return redirect("login")
        self.person = person
        return super().dispatch(request, *args, **kwargs)

    def _holds(self, person: User) -> bool:
        """Return whether the password is still the one that was typed."""
        return constant_time_compare(self.half["hash"], person.get_session_auth_hash())

    def get_form_kwargs(self) -> dict[str, Any]:
        """Give the form its person."""
        about = {"request": self.request, "person": self.person}
        return super().get_form_kwargs() | about

    def form_valid(self, form: CodeForm) -> HttpResponse:
        """Sign in."""
        page = self.half["page"]
        del self.request.session[HALF_IN]
        return sign_in(self.request, self.person, page)


def sign_in(request: HttpRequest, person: User, page: str) -> HttpResponse:
    """Sign a person in who showed all that is asked; know the device from now on."""
    login(request, person)
    sessions.begin(request, person)
    mark_proved(request)
    if must_have_factor(person) and not has_factor(person):
        request.session[sessions.MUST_ADD] = True
    answer = redirect(page)
    remember(request, answer, person)
    return answer
