"""Documents that went out, each with the bytes that it went out with."""

from django.conf import settings
from django.db import models

from inventory.models.evidence import Original
from inventory.models.people import Location
from inventory.models.sealed import Sealed
from inventory.rules.core.sent_documents import SENT_KINDS


class SentDocument(Sealed):
    """A document that went out. Append-only: its bytes are never drawn again.

    ``noun`` and ``key`` name the row it is about, as the subjects of events do.
    ``document_version`` counts the documents of one kind about one row.
    """

    noun = models.CharField(max_length=40)
    key = models.CharField(max_length=40)
    kind = models.CharField(max_length=20, choices=tuple(SENT_KINDS.items()))
    document_version = models.PositiveSmallIntegerField(default=1)
    original = models.ForeignKey(
        Original, models.PROTECT, related_name="sent_documents"
    )
    location = models.ForeignKey(Location, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["noun", "key", "kind", "document_version"]
        constraints = [
            models.UniqueConstraint(
                fields=["noun", "key", "kind", "document_version"],
                name="sent_document_version_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.original_id[:12]}"
