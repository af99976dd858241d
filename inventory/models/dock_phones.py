"""Phones of a dock that several people share, and the PINs they change by."""

from django.conf import settings
from django.db import models

from inventory.models.people import Location
from inventory.models.sealed import Sealed


class DockPhone(Sealed):
    """A phone of one dock: its cookie holds a secret, here is the secret's SHA-256."""

    HIDDEN = ("digest",)

    location = models.ForeignKey(Location, models.PROTECT, related_name="phones")
    name = models.CharField(max_length=40)
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["location__name", "name", "pk"]

    def __str__(self) -> str:
        return self.name


class DockPin(Sealed):
    """The PIN of one person, kept as a password is. It opens shared phones alone."""

    HIDDEN = ("digest",)

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="pin"
    )
    digest = models.CharField(max_length=128)
    set_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"PIN of {self.person}"
