"""Answers for a monitor: is the process alive, and can it work."""

import os
import secrets
import shutil
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import Error as AnyDatabaseError
from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from config.checks import clock_is_behind, unapplied_migrations
from inventory.evidence.store.homes import home
from inventory.queries.mail.beats import pulse_of
from inventory.views.core.clock import now


@login_not_required
@require_safe
@never_cache
def healthz(_request: HttpRequest) -> HttpResponse:
    """Answer at all."""
    return HttpResponse("ok\n", content_type="text/plain; charset=utf-8")


@login_not_required
@require_safe
@never_cache
def readyz(_request: HttpRequest) -> HttpResponse:
    """Answer 200 where every part is ready, 503 where one is not; name each part."""
    parts = {name: _state(check) for name, check in _CHECKS.items()}
    is_ready = all(state == "ok" for state in parts.values())
    # Told, but no reason to take the house off the network.
    parts["clock"] = _state(clock_is_right)
    return JsonResponse(parts, status=200 if is_ready else 503)


def _state(check: Callable[[], bool]) -> str:
    try:
        return "ok" if check() else "not ready"
    except (AnyDatabaseError, OSError):
        return "failed"


def database_answers() -> bool:
    """Ask the database for one number."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        return bool(cursor.fetchone()[0] == 1)


def migrations_are_done() -> bool:
    """Return whether the tables are those this program expects."""
    return not unapplied_migrations(connection)


def storage_takes_writes() -> bool:
    """Write, sync and remove one small file in the data folder; ask a bucket too."""
    path = settings.DATA_DIR / f".ready-{secrets.token_hex(8)}"
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        os.write(descriptor, b"ready")
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
        path.unlink()
    return not home().exists("0" * 64)


def disk_has_room() -> bool:
    """Return whether more than ``MIN_FREE_BYTES`` are free in the evidence folder."""
    return shutil.disk_usage(settings.DATA_DIR).free > int(settings.MIN_FREE_BYTES)


def mail_goes_out() -> bool:
    """Return whether the working program was seen in the last minutes."""
    return not pulse_of("mail", now()).is_stopped


def clock_is_right() -> bool:
    """Return whether the machine's clock is not behind the last recorded act."""
    return not clock_is_behind()


_CHECKS: dict[str, Callable[[], bool]] = {
    "database": database_answers,
    "migrations": migrations_are_done,
    "storage": storage_takes_writes,
    "disk": disk_has_room,
    "work": mail_goes_out,
}
