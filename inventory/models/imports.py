"""Lists that came from a file: the file, who brought it in, and what it made."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.evidence import Original
from inventory.models.people import Location
from inventory.models.sealed import Sealed
from inventory.models.versions import Versioned
from inventory.rules.imports.kinds import KINDS


def kinds_of_list() -> list[tuple[str, str]]:
    """Return the kinds of list of both floors, once both are registered."""
    return [(one.key, one.title) for one in KINDS.values()]


class ListImport(Versioned):
    """One file that was brought in. Undone at most once, with a reason.

    The same file counts once for a kind of list, until it is undone.
    """

    kind = models.CharField(max_length=20, choices=kinds_of_list)
    location = models.ForeignKey(
        Location, models.PROTECT, null=True, blank=True, related_name="+"
    )
    original = models.ForeignKey(Original, models.PROTECT, related_name="+")
    file_name = models.CharField(max_length=100, blank=True)
    new_rows = models.PositiveSmallIntegerField()
    rows_there = models.PositiveSmallIntegerField()
    rows_refused = models.PositiveSmallIntegerField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    undone_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "original"],
                condition=Q(undone_at=None),
                name="a_file_is_imported_once",
            ),
            models.CheckConstraint(
                condition=Q(undone_at=None, undone_reason="")
                | Q(undone_at__isnull=False) & ~Q(undone_reason=""),
                name="an_import_is_undone_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} from {self.file_name or 'a file'}"


class ImportedRow(Sealed):
    """One row that an import made: which table's, its key, and what it was called.

    Append-only, and so it still names what an undo retired.
    """

    list_import = models.ForeignKey(ListImport, models.PROTECT, related_name="rows")
    row = models.PositiveSmallIntegerField()
    noun = models.CharField(max_length=40)
    key = models.CharField(max_length=40)
    name = models.CharField(max_length=200)

    class Meta:
        ordering = ["list_import_id", "row", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["noun", "key"], name="a_row_comes_from_one_import"
            )
        ]

    def __str__(self) -> str:
        return f"Row {self.row}: {self.name}"
