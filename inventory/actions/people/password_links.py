"""One-time links for a forgotten password.

A link is signed, not stored: what it signs holds the password's hash, the last sign-in
and the version, so that it ends with the first password set by it, with the next
sign-in, with a change of the person, or after an hour (``PASSWORD_RESET_TIMEOUT``).
"""

from datetime import datetime

from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.db import transaction
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from inventory.actions.core.versions import RefusedError
from inventory.actions.people.passwords import record_about, refuse_weak
from inventory.models import User


class Links(PasswordResetTokenGenerator):
    """Signs and reads the secret part of a link."""

    key_salt = "inventory.people.password_links"

    def _make_hash_value(self, user: User, timestamp: int) -> str:
        signed = super()._make_hash_value(user, timestamp)
        return f"{signed}|{user.version}|{user.is_active}"


links = Links()


def make_link(*, person: User | None, at: datetime, who: User) -> str:
    """Return the path of a link by which ``who`` sets a new password.

    ``person`` is None for whoever runs the machine. Raise RefusedError.
    """
    with transaction.atomic():
        row = User.objects.select_for_update().get(pk=who.pk)
        if reason := why_no_link(row, person):
            raise RefusedError(reason)
        record_about("password.link-made", row, actor=person, at=at)
        key = urlsafe_base64_encode(force_bytes(row.pk))
        return reverse("password_link", args=[key, links.make_token(row)])


def why_no_link(who: User, person: User | None) -> str:
    """Return why this person can be given no link, or nothing."""
    if person and who.pk == person.pk:
        return "Change your own password under Password, at the top of the page."
    if not who.is_active:
        return f"{who} cannot sign in. Let them sign in first, on their own page."
    return ""


def set_by_link(*, who: User, at: datetime, token: str, password: str) -> User:
    """Set a new password by a link, which ends all of the person's sessions.

    Raise RefusedError where the link was used meanwhile, and for a weak password.
    """
    with transaction.atomic():
        row = User.objects.select_for_update().get(pk=who.pk)
        if not row.is_active or not links.check_token(row, token):
            raise RefusedError("This link was used or has ended. Ask for another.")
        refuse_weak(row, password)
        row.set_password(password)
        row.save(update_fields=["password"])
        record_about("password.reset", row, actor=row, at=at)
        return row
