"""How the house is kept: the page of whoever runs it."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.access import person_of, require_administrator
from inventory.queries.mail.upkeep import how_kept
from inventory.rules.core.upkeep import Kept, lines_of
from inventory.views.core.clock import now


def kept_now() -> Kept:
    """Return how this house stands now."""
    return how_kept(
        at=now(), folder=settings.DATA_DIR, least_free=settings.MIN_FREE_BYTES
    )


@require_safe
def upkeep(request: HttpRequest) -> HttpResponse:
    """Show what waits, what was last done, and what is late."""
    require_administrator(person_of(request))
    return render(
        request, "inventory/people/upkeep.html", {"lines": lines_of(kept_now())}
    )
