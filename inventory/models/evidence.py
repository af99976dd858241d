"""What was received: original bytes by their hash, and what each one shows."""

import uuid
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import OuterRef, Q, Subquery, Value
from django.db.models.functions import Coalesce

from inventory.models.deliveries import Delivery
from inventory.models.people import Location
from inventory.models.returns import CrateReturn, SuspenseLine
from inventory.models.sealed import Sealed
from inventory.models.shipments import Crate, Shipment, Unit
from inventory.rules.core import vocabulary as words
from inventory.rules.evidence.markup import Mark, from_stored

if TYPE_CHECKING:
    from inventory.models.readings import Reading


class Original(Sealed):
    """Bytes stored under their SHA-256. Never changed, never deleted."""

    sha256 = models.CharField(primary_key=True, max_length=64)
    size = models.PositiveBigIntegerField()
    media_type = models.CharField(max_length=40)
    stored_at = models.DateTimeField()

    class Meta:
        ordering = ["stored_at", "sha256"]

    def __str__(self) -> str:
        return f"{self.media_type} {self.sha256[:12]}"


class ShownEvidence(models.Manager["Evidence"]):
    """The photos and documents that people and claim files may see.

    One place for all lists: a hidden file is in none of them.
    """

    def get_queryset(self) -> "models.QuerySet[Evidence]":
        """Leave out each row that is hidden now."""
        last = Withholding.objects.filter(evidence=OuterRef("pk")).order_by("-pk")
        hidden = Coalesce(Subquery(last.values("is_withheld")[:1]), Value(value=False))
        return super().get_queryset().alias(is_hidden=hidden).filter(is_hidden=False)


OF_STANDING_ROWS = Q(
    delivery__withdrawn_at=None, shipment__withdrawn_at=None, crate__withdrawn_at=None
)
"""The photos and documents of rows that were not taken back; for lists."""


class Evidence(Sealed):
    """One photo or document: who gave it, when, and what it belongs to.

    ``received_at`` is our clock. ``objects`` are those that may be shown;
    ``everything`` holds the hidden ones too. ``width``, ``height``, ``claims`` and
    ``remarks`` are of photos that were read before they were answered, and of no
    others: ask ``seen``.
    """

    # The event of its upload goes out with a claim file; our remarks on it do not. The
    # client's own id, which nobody else knows, keeps the hash from being guessed.
    VEILED = True

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    client_id = models.UUIDField(unique=True)
    original = models.ForeignKey(Original, models.PROTECT, related_name="uses")
    location = models.ForeignKey(Location, models.PROTECT, related_name="+")
    delivery = models.ForeignKey(
        Delivery, models.PROTECT, null=True, blank=True, related_name="evidence"
    )
    shipment = models.ForeignKey(
        Shipment, models.PROTECT, null=True, blank=True, related_name="evidence"
    )
    crate = models.ForeignKey(
        Crate, models.PROTECT, null=True, blank=True, related_name="evidence"
    )
    unit = models.ForeignKey(
        Unit, models.PROTECT, null=True, blank=True, related_name="evidence"
    )
    crate_return = models.ForeignKey(
        CrateReturn, models.PROTECT, null=True, blank=True, related_name="evidence"
    )
    suspense_line = models.ForeignKey(
        SuspenseLine, models.PROTECT, null=True, blank=True, related_name="evidence"
    )
    kind = models.CharField(max_length=20, choices=tuple(words.EVIDENCE_KINDS.items()))
    caption = models.CharField(max_length=200, blank=True)
    file_name = models.CharField(max_length=100, blank=True)
    width = models.PositiveIntegerField(null=True, blank=True)
    height = models.PositiveIntegerField(null=True, blank=True)
    claims = models.JSONField(default=dict, blank=True)
    remarks = models.JSONField(default=list, blank=True)
    received_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    objects = ShownEvidence()  # type: ignore[assignment, misc]
    everything: "models.Manager[Evidence]" = models.Manager()

    class Meta:
        ordering = ["received_at", "id"]
        verbose_name_plural = "evidence"
        constraints = [
            models.CheckConstraint(
                name="evidence_belongs_somewhere",
                condition=Q(delivery__isnull=False)
                | Q(shipment__isnull=False)
                | Q(crate_return__isnull=False)
                | Q(suspense_line__isnull=False),
            )
        ]
        indexes = [
            # The reader asks for the photos that just arrived.
            models.Index(fields=["received_at"], name="evidence_by_receipt")
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.original_id[:12]}"

    @property
    def is_picture(self) -> bool:
        """Return whether a rendition can be shown."""
        return self.original.media_type.startswith("image/")

    @property
    def seen(self) -> "Evidence | Reading":
        """Return the row with its pixels, camera data and remarks: its first reading.

        It is the photo itself where that was read before readings held them, and where
        it is not read yet. Lists prefetch ``readings``.
        """
        if self._holds_its_own:
            return self
        told = (row for row in self.readings.all() if row.claims is not None)
        return min(told, key=lambda row: row.pk, default=self)

    @property
    def is_unread(self) -> bool:
        """Return whether it is a photo that the decoder has not seen."""
        return self.is_picture and not self._holds_its_own and not self.readings.all()

    @property
    def has_preview(self) -> bool:
        """Return whether there is a picture to show, or soon will be."""
        return bool(self.seen.width) or self.is_unread

    @property
    def _holds_its_own(self) -> bool:
        return self.width is not None or bool(self.remarks)

    @property
    def last_markup(self) -> "PhotoMarkup | None":
        """Return the marks that count, or None. Lists prefetch ``markups``."""
        return max(self.markups.all(), key=lambda row: row.pk, default=None)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return what is to be drawn on copies of this photo."""
        last = self.last_markup
        return from_stored(last.marks) if last else ()


class Withholding(Sealed):
    """That a photo is hidden, or shown again, and why. Append-only.

    The last row counts. Bytes, hash and the evidence row stay as they are.
    """

    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="withholdings")
    is_withheld = models.BooleanField()
    reason = models.TextField(max_length=1000)
    said_at = models.DateTimeField()
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="withheld_with_a_reason", condition=~Q(reason="")
            )
        ]

    def __str__(self) -> str:
        word = "Hidden" if self.is_withheld else "Shown again"
        return f"{word}: {self.reason}"


class PhotoMarkup(Sealed):
    """The marks that someone drew on a photo. Append-only; the photo stays as it is.

    The last row counts. Removing all marks is a new row without any.
    """

    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="markups")
    marks = models.JSONField(default=list, blank=True)
    said_at = models.DateTimeField()
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{len(self.marks)} marks" if self.marks else "No marks"
