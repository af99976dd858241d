"""The app on a phone: installed, working without signal, answering its queue.

The service worker keeps stylesheets, scripts and one page without a person in it; it
never keeps a page of anybody's. A phone's script says ``Dock-Phone: 1`` and is then
answered with JSON instead of being led on to another page.
"""

import json
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.exceptions import PermissionDenied
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseRedirect,
    JsonResponse,
)
from django.shortcuts import resolve_url
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from inventory.views.core.ways import is_phone

GROUND = "#FAF6EE"
"""The color around the app while it starts: ``--ground`` of tokens.css."""

SHELL = (
    "tokens.css",
    "base.css",
    "forms.css",
    "time.css",
    "photos.css",
    "phone.css",
    "favicon.svg",
    "phone.mjs",
    "shell.mjs",
    "photos.mjs",
)
"""What the page without signal links; modules name what they import."""

IMPORTED = (
    "sending.mjs",
    "readings.mjs",
    "tiles.mjs",
    "store.mjs",
    "queue.mjs",
    "forms.mjs",
)

ICONS = (
    ("icon-192.png", "192x192", "any"),
    ("icon-512.png", "512x512", "any"),
    ("icon-maskable.png", "512x512", "maskable"),
)

SIGN_IN = "Your sign-in has ended. What you saved on this phone is safe. Sign in again."


class PhoneMiddleware:
    """Answer a phone's script in JSON where a page would lead on or refuse."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Turn a redirect into its address, with the cookies that go with it."""
        answer = self.get_response(request)
        if not is_phone(request) or "Location" not in answer:
            return answer
        page = answer["Location"]
        del answer["Location"]
        told = {"page": page}
        answer.status_code = 200
        if page.partition("?")[0] == resolve_url(settings.LOGIN_URL):
            told = {"error": SIGN_IN, "page": page}
            answer.status_code = 401
        answer.content = json.dumps(told).encode()
        answer["Content-Type"] = "application/json"
        answer["Content-Length"] = str(len(answer.content))
        return answer

    def process_exception(
        self, request: HttpRequest, exception: Exception
    ) -> HttpResponse | None:
        """Say in JSON why a person may not do it, or that the row is not here."""
        if not is_phone(request):
            return None
        if isinstance(exception, PermissionDenied):
            return JsonResponse({"error": str(exception)}, status=403)
        if isinstance(exception, Http404):
            words = "It was not found. It may have been taken back meanwhile."
            return JsonResponse({"error": words}, status=404)
        return None


@login_not_required
@require_safe
@cache_control(no_cache=True)
def worker(_request: HttpRequest) -> HttpResponse:
    """Send the service worker: another version whenever a static file changes."""
    shell = reverse("offline")
    files = [static(f"house/{name}") for name in (*SHELL, *IMPORTED)]
    known = {"version": _version(), "shell": shell, "files": files}
    code = f"self.KNOWN = {json.dumps(known)};\nimportScripts({json.dumps(static('house/worker.js'))});\n"
    answer = HttpResponse(code, content_type="text/javascript")
    answer["Service-Worker-Allowed"] = "/"
    return answer


def _version() -> str:
    """Return the hash of the list of static files; "debug" where none is kept."""
    return getattr(staticfiles_storage, "manifest_hash", "") or "debug"


@login_not_required
@require_safe
@cache_control(no_cache=True)
def manifest(_request: HttpRequest) -> HttpResponse:
    """Send what a phone needs to install the app."""
    told = {
        "id": "/",
        "name": "Tarefold",
        "short_name": "Tarefold",
        "description": "From the truck at the dock to the paid claim.",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": GROUND,
        "theme_color": GROUND,
        "icons": [
            {
                "src": static(f"house/{name}"),
                "sizes": sizes,
                "type": "image/png",
                "purpose": purpose,
            }
            for name, sizes, purpose in ICONS
        ],
    }
    return HttpResponse(json.dumps(told), content_type="application/manifest+json")


@login_not_required
@require_safe
def icon(_request: HttpRequest) -> HttpResponse:
    """Lead to the icon: a PDF in a tab of its own names none, and asks at the root."""
    return HttpResponseRedirect(static("house/favicon.svg"))


@login_not_required
@require_safe
@cache_control(no_cache=True)
def offline(_request: HttpRequest) -> HttpResponse:
    """Show the page that stands in where there is no signal: it names nobody."""
    return HttpResponse(render_to_string("offline.html"))
