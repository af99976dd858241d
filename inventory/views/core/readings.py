"""What is noticed on photos that were just kept: said now, or once they are read."""

from collections.abc import Iterable
from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest

from inventory.actions.evidence.uploads import Uploads
from inventory.models import Evidence
from inventory.views.core.clock import now

WATCHED = "reading:"
"""What begins the extra tags of a message that a page fills in: ids of photos."""

JUST_NOW = timedelta(minutes=2)


def photo_name(row: Evidence) -> str:
    """Return what a sentence calls a photo."""
    return row.file_name or row.caption or "A photo"


def tell_remarks(request: HttpRequest, done: Uploads) -> None:
    """Say what is known of the photos just kept, and watch those not read yet."""
    for one in done.saved:
        for remark in one.remarks:
            messages.warning(request, f"{photo_name(one.evidence)}: {remark}")
    watch_readings(request, done.kept)


def watch_readings(request: HttpRequest, rows: Iterable[Evidence]) -> None:
    """Have the next page say what is noticed on those of the photos not read yet."""
    fresh = [row.pk for row in rows if now() - row.received_at < JUST_NOW]
    if not fresh:
        return
    unread = Evidence.everything.filter(
        pk__in=fresh, readings=None, original__media_type__startswith="image/"
    )
    keys = " ".join(str(pk) for pk in unread.values_list("pk", flat=True))
    if keys:
        tags = f"{WATCHED}{keys}"
        messages.info(request, "The photos are being checked.", extra_tags=tags)
