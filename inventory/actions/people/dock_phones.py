"""Shared phones of a dock, and the PINs by which people change there."""

import hashlib
import secrets
from datetime import datetime

from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction

from inventory.access import roles_of
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.actions.people.passwords import record_about
from inventory.models import Assignment, DockPhone, DockPin, Location, User
from inventory.rules.core.passwords import weakness_of
from inventory.rules.core.roles import CLERK, TECHNICIAN

PIN_DIGITS = 6
_AT_THE_DOCK = frozenset((CLERK, TECHNICIAN))

NO_PIN = (
    "Only clerks and technicians sign in by PIN. Managers, accounting and administrators "
    "use their password."
)


def may_have_pin(person: User) -> bool:
    """Return whether this person holds roles of the dock, and no others."""
    held = roles_of(person)
    return person.is_active and bool(held) and held <= _AT_THE_DOCK


def add_phone(
    *, person: User, at: datetime, location: Location, name: str
) -> tuple[DockPhone, str]:
    """Make a phone a shared one of this dock; return it and its cookie's secret."""
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        phone = DockPhone(
            location=location,
            name=name,
            digest=digest_of(secret),
            made_at=at,
            made_by=person,
        )
        phone.save(force_insert=True)
        _record("dock-phone.added", phone, person=person, at=at)
    return phone, secret


def end_phone(*, person: User, at: datetime, phone: DockPhone) -> None:
    """Let nobody sign in there by PIN any longer. Raise RefusedError."""
    with transaction.atomic():
        row = DockPhone.objects.select_for_update(of=("self",)).get(pk=phone.pk)
        if row.ended_at:
            raise RefusedError("This phone was ended already. Nothing was changed.")
        row.ended_at = at
        row.save(update_fields=["ended_at"])
        _record("dock-phone.ended", row, person=person, at=at)


def set_pin(*, person: User, at: datetime, pin: str) -> None:
    """Set one's own PIN, or another. Raise RefusedError with the reason."""
    if not may_have_pin(person):
        raise RefusedError(NO_PIN)
    if not (pin.isascii() and pin.isdigit() and len(pin) == PIN_DIGITS):
        raise RefusedError(f"Enter {PIN_DIGITS} digits.")
    if weakness_of(pin, listed=frozenset(), place=frozenset()):
        raise RefusedError("This is too easy to guess. Take digits without a pattern.")
    digest = make_password(pin)
    with transaction.atomic():
        row, made = DockPin.objects.select_for_update().get_or_create(
            person=person, defaults={"digest": digest, "set_at": at}
        )
        if not made:
            row.digest, row.set_at = digest, at
            row.save(update_fields=["digest", "set_at"])
        record_about("pin.set", person, actor=person, at=at)


def remove_pin(*, person: User, at: datetime) -> None:
    """Take one's own PIN away. Raise RefusedError where there is none."""
    with transaction.atomic():
        row = DockPin.objects.select_for_update().filter(person=person).first()
        if row is None:
            raise RefusedError("There is no PIN. Nothing was changed.")
        row.delete()
        record_about("pin.removed", person, actor=person, at=at)


def phone_of(secret: str) -> DockPhone | None:
    """Return the shared phone whose cookie this is, unless it was ended."""
    rows = DockPhone.objects.select_related("location")
    return rows.filter(digest=digest_of(secret), ended_at=None).first()


def people_of(phone: DockPhone) -> list[User]:
    """Return who may sign in there by PIN, by name."""
    rows = User.objects.filter(
        assignments__location=phone.location_id,
        is_active=True,
        is_administrator=False,
        pin__isnull=False,
    )
    others = Assignment.objects.exclude(role__in=_AT_THE_DOCK).values("person_id")
    return list(rows.exclude(pk__in=others).distinct())


def is_right_pin(person: User, pin: str) -> bool:
    """Return whether this is the person's PIN."""
    row = DockPin.objects.filter(person=person).first()
    return row is not None and check_password(pin, row.digest)


def digest_of(secret: str) -> str:
    """Return how a phone's secret is kept."""
    return hashlib.sha256(secret.encode()).hexdigest()


def _record(kind: str, phone: DockPhone, *, person: User, at: datetime) -> None:
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=phone.location,
        subjects=[phone],
        data={"name": phone.name, "location": str(phone.location)},
    )
