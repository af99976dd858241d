"""What the decoder made of a photo, sealed, so that no other picture is printed."""

from django.db import models
from django.db.models import Q

from inventory.models.evidence import Evidence
from inventory.models.sealed import Sealed


class Reading(Sealed):
    """One reading of a photo: the decoder, and the hash of each copy. Append-only.

    A newer decoder that gives other bytes adds a row; the copies of every row stay
    good. Both hashes are empty where the photo cannot be read. ``width`` and ``height``
    are the original's, in pixels. ``claims`` is the camera's own data; None in a row of
    before, whose photo itself holds it (``Evidence.seen``).
    """

    # A camera's time and place are private. The secret, which nobody else knows, keeps
    # the hash that seals them from being guessed.
    VEILED = True

    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="readings")
    decoder = models.CharField(max_length=200, blank=True)
    large_sha256 = models.CharField(max_length=64, blank=True)
    small_sha256 = models.CharField(max_length=64, blank=True)
    width = models.PositiveIntegerField(null=True, blank=True)
    height = models.PositiveIntegerField(null=True, blank=True)
    remarks = models.JSONField(default=list, blank=True)
    claims = models.JSONField(null=True, blank=True)
    secret = models.UUIDField(null=True, blank=True, editable=False)
    read_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="reading_has_both_copies_or_none",
                condition=Q(large_sha256="", small_sha256="")
                | ~Q(large_sha256="") & ~Q(small_sha256=""),
            )
        ]

    def __str__(self) -> str:
        return f"Reading {self.large_sha256[:12] or 'without a copy'}"
