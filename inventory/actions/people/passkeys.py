"""Passkeys: added, used and removed. What they signed was checked before."""

from datetime import datetime

from django.db import IntegrityError, transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import Passkey, User

MOST = 10
"""Passkeys of one person."""


def add_passkey(
    *, person: User, at: datetime, name: str, key_id: str, credential: bytes, count: int
) -> None:
    """Add a passkey that was just made. Raise RefusedError."""
    if Passkey.objects.filter(person=person).count() >= MOST:
        raise RefusedError(f"You have {MOST} passkeys. Remove one first.")
    try:
        with transaction.atomic():
            Passkey.objects.create(
                person=person,
                name=name,
                credential_id=key_id,
                credential=credential,
                count=count,
                added_at=at,
            )
            _record("passkey.added", person, name, at)
    except IntegrityError as error:
        raise RefusedError("This passkey was added already.") from error


def remove_passkey(*, person: User, at: datetime, key: int) -> None:
    """Remove one of one's own. Raise RefusedError where there is none."""
    with transaction.atomic():
        rows = Passkey.objects.select_for_update().filter(person=person, pk=key)
        row = rows.first()
        if row is None:
            raise RefusedError("That passkey was removed already. Nothing was changed.")
        row.delete()
        _record("passkey.removed", person, row.name, at)


def note_use(*, passkey: Passkey, at: datetime, count: int) -> bool:
    """Note a use; return whether the key's own count went on.

    One that did not is a copy of the key at work (WebAuthn 2, 6.1.1). Keys that never
    count say 0.
    """
    with transaction.atomic():
        row = Passkey.objects.select_for_update().filter(pk=passkey.pk).first()
        if row is None or ((count or row.count) and count <= row.count):
            return False
        Passkey.objects.filter(pk=row.pk).update(count=count, used_at=at)
    return True


def _record(kind: str, person: User, name: str, at: datetime) -> None:
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=None,
        subjects=[person],
        data={"name": str(person), "key": name},
    )
