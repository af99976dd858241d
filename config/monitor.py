"""Numbers for a monitor, and whom to tell about a weakness."""

from datetime import timedelta
from hmac import compare_digest

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from inventory.rules.core.upkeep import measures_of
from inventory.views.core.clock import now
from inventory.views.people.upkeep import kept_now

TEXT = "text/plain; version=0.0.4; charset=utf-8"
"""The exposition format that monitors read: ``name value``, a line each."""

HOLDS_FOR = timedelta(days=180)
"""RFC 9116 asks for less than a year; it is counted anew at every reading."""


@login_not_required
@require_safe
@never_cache
def metrics(request: HttpRequest) -> HttpResponse:
    """Answer whoever holds ``METRICS_TOKEN``; for anyone else there is no such page."""
    held = request.headers.get("Authorization", "").removeprefix("Bearer ")
    token = settings.METRICS_TOKEN
    if not token or not compare_digest(held.encode(), token.encode()):
        raise Http404
    lines = [
        f"# TYPE tarefold_{name} gauge\ntarefold_{name} {value}\n"
        for name, value in measures_of(kept_now()).items()
    ]
    return HttpResponse("".join(lines), content_type=TEXT)


@login_not_required
@require_safe
def security_txt(_request: HttpRequest) -> HttpResponse:
    """Say whom to tell about a weakness (RFC 9116), where the house named someone."""
    if not settings.SECURITY_CONTACT:
        raise Http404
    expires = (now() + HOLDS_FOR).replace(hour=0, minute=0, second=0, microsecond=0)
    lines = f"Contact: {settings.SECURITY_CONTACT}\nExpires: {expires.isoformat()}\n"
    return HttpResponse(lines, content_type="text/plain; charset=utf-8")
