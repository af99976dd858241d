"""Rows recorded by mistake: taken back in the open, with the reason, never deleted."""

from typing import TypeVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.sealed import SealedQuerySet
from inventory.models.versions import Versioned

Row = TypeVar("Row", bound=models.Model)

STANDING = Q(withdrawn_at__isnull=True)
"""The rows that count; for constraints, and for counts over a join."""


class StandingRows(models.Manager[Row]):
    """The rows that were not withdrawn.

    One place for all lists: a withdrawn truck, bill or crate is in none of them.
    """

    def get_queryset(self) -> models.QuerySet[Row]:
        """Leave out each row that was withdrawn."""
        return SealedQuerySet[Row](self.model, using=self._db).filter(STANDING)


class Withdrawable(Versioned):
    """A row that may be taken back. ``everything`` holds the withdrawn ones too.

    ``standing`` holds what stands, where a kind's own ``objects`` leave out more.
    """

    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    withdrawn_reason = models.CharField(max_length=300, blank=True)

    objects = StandingRows()  # type: ignore[assignment, misc]
    standing = StandingRows()
    everything = SealedQuerySet.as_manager()

    class Meta:
        abstract = True

    @property
    def is_withdrawn(self) -> bool:
        """Return whether the row was taken back."""
        return self.withdrawn_at is not None
