"""Passkeys: keys in a phone, a computer or a stick that sign their person in."""

from django.conf import settings
from django.db import models

from inventory.models.sealed import Sealed


class Passkey(Sealed):
    """The public half of one key, with its id; the private half never leaves its device.

    How often it was used and when is in no image: each sign-in moves both.
    """

    UNSEALED = ("count", "used_at")
    HIDDEN = ("credential",)

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="passkeys"
    )
    name = models.CharField(max_length=40)
    credential_id = models.CharField(max_length=1400, unique=True)
    credential = models.BinaryField()
    count = models.BigIntegerField(default=0)
    added_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name
