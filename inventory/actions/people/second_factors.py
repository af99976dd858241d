"""The second step of signing in: set up, asked, and taken away."""

import secrets
from datetime import datetime

from django.contrib.auth.hashers import check_password, make_password
from django.db import IntegrityError, transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.people.passwords import record_about
from inventory.models import RecoveryCode, SecondFactor, User
from inventory.rules.core.one_time_codes import SECRET_BYTES, matching_step

CODES = 8
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Those that nobody mistakes: no I, no O, no 0, no 1. Sixteen of them are 80 bits."""

WRONG = (
    "That code is wrong or was used already. Nothing was changed. Wait for the next code "
    "in your app, and check the phone's clock."
)


def new_secret() -> bytes:
    """Return a secret for an app, which is not yet anybody's."""
    return secrets.token_bytes(SECRET_BYTES)


def add_factor(*, person: User, at: datetime, secret: bytes, code: str) -> list[str]:
    """Set up a person's app once it showed a right code; return the recovery codes.

    They are kept as hashes and never shown again. Raise RefusedError.
    """
    step = matching_step(secret, plain(code), seconds=int(at.timestamp()), after=0)
    if step is None:
        raise RefusedError(WRONG)
    codes = _new_codes()
    hashes = [make_password(code[4:]) for code in codes]
    try:
        with transaction.atomic():
            factor = SecondFactor(
                person=person, secret=secret, last_step=step, added_at=at
            )
            factor.save(force_insert=True)
            _keep_codes(factor, codes, hashes)
            record_about("factor.added", person, actor=person, at=at)
    except IntegrityError as error:
        raise RefusedError("Two-step sign-in is on already.") from error
    return [in_groups(code) for code in codes]


def renew_codes(*, person: User, at: datetime) -> list[str]:
    """Return new recovery codes; the former ones no longer count."""
    codes = _new_codes()
    hashes = [make_password(code[4:]) for code in codes]
    with transaction.atomic():
        factor = _lock(person)
        factor.codes.all().delete()
        _keep_codes(factor, codes, hashes)
        record_about("factor.codes-renewed", person, actor=person, at=at)
    return [in_groups(code) for code in codes]


def remove_factor(*, person: User, at: datetime, who: User) -> None:
    """Take away someone's second step, their codes with it; end their sessions.

    Raise RefusedError where there is none.
    """
    with transaction.atomic():
        row = User.objects.select_for_update().get(pk=who.pk)
        factor = _lock(row)
        factor.codes.all().delete()
        factor.delete()
        change_row(row, version=row.version)
        record_about("factor.removed", row, actor=person, at=at)


def is_right_code(*, person: User, at: datetime, code: str) -> bool:
    """Return whether this is the app's code of now, or a recovery code not used yet.

    Either counts once. A recovery code is an event.
    """
    typed = plain(code)
    with transaction.atomic():
        factor = _lock(person)
        step = matching_step(
            bytes(factor.secret),
            typed,
            seconds=int(at.timestamp()),
            after=factor.last_step,
        )
        if step is not None:
            SecondFactor.objects.filter(pk=factor.pk).update(last_step=step)
            return True
        return _take_code(factor, typed, at)


def _take_code(factor: SecondFactor, typed: str, at: datetime) -> bool:
    row = factor.codes.filter(head=typed[:4], used_at=None).first()
    if row is None or not check_password(typed[4:], row.digest):
        return False
    row.used_at = at
    row.save(update_fields=["used_at"])
    record_event(
        kind="factor.code-used",
        at=at,
        actor=factor.person,
        location=None,
        subjects=[factor.person],
        data={
            "name": str(factor.person),
            "left": factor.codes.filter(used_at=None).count(),
        },
    )
    return True


def _lock(person: User) -> SecondFactor:
    try:
        rows = SecondFactor.objects.select_for_update(of=("self",))
        return rows.select_related("person").get(person=person)
    except SecondFactor.DoesNotExist as error:
        raise RefusedError("Two-step sign-in is not on.") from error


def _keep_codes(factor: SecondFactor, codes: list[str], hashes: list[str]) -> None:
    RecoveryCode.objects.bulk_create(
        RecoveryCode(factor=factor, head=code[:4], digest=digest)
        for code, digest in zip(codes, hashes, strict=True)
    )


def _new_codes() -> list[str]:
    found: dict[str, str] = {}
    while len(found) < CODES:
        code = "".join(secrets.choice(_LETTERS) for _ in range(16))
        found[code[:4]] = code
    return list(found.values())


def in_groups(code: str) -> str:
    """Return a recovery code as it is printed."""
    return "-".join(code[at : at + 4] for at in range(0, len(code), 4))


def plain(typed: str) -> str:
    """Return a code as it is compared: capitals, no spaces, no dashes."""
    return "".join(mark for mark in typed.upper() if mark.isalnum())
