"""Passwords: chosen by their owner, given, and stored anew.

Each change is an event that names the person, never the password or its hash.
"""

from datetime import datetime

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import User


def refuse_weak(who: User, password: str) -> None:
    """Raise RefusedError with every reason against this password."""
    try:
        validate_password(password, who)
    except ValidationError as error:
        raise RefusedError(" ".join(error.messages)) from error


def change_password(*, person: User, at: datetime, password: str) -> User:
    """Change one's own password, which ends one's sessions. Raise RefusedError."""
    with transaction.atomic():
        row = User.objects.select_for_update().get(pk=person.pk)
        refuse_weak(row, password)
        row.set_password(password)
        row.save(update_fields=["password"])
        record_about("password.changed", row, actor=row, at=at)
        return row


def store_anew(*, person: User, at: datetime, password: str) -> User:
    """Store the same password in a newer form, and return its person.

    Whoever changed it meanwhile is left alone. The password was found right just now.
    """
    with transaction.atomic():
        row = User.objects.select_for_update().get(pk=person.pk)
        if row.password == person.password:
            row.set_password(password)
            row.save(update_fields=["password"])
            record_about("password.rehashed", row, actor=row, at=at)
        return row


def record_about(kind: str, who: User, *, actor: User | None, at: datetime) -> None:
    """Record an event about this person that says no more than their name."""
    record_event(
        kind=kind,
        at=at,
        actor=actor,
        location=None,
        subjects=[who],
        data={"name": str(who)},
    )
