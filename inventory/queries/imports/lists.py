"""Imports of lists: the earlier ones, and what a file made before."""

from collections.abc import Collection

from django.db.models import Q, QuerySet
from django.http import Http404

from inventory.models import ListImport, Location


def import_rows() -> QuerySet[ListImport]:
    """Return every import with what its page names, the last first."""
    joined = ("location", "original", "made_by", "undone_by")
    return ListImport.objects.select_related(*joined).order_by("-pk")


def imports_shown(
    kinds: Collection[str], places: QuerySet[Location]
) -> QuerySet[ListImport]:
    """Return the imports of these kinds that belong to no location or one of these."""
    here = Q(location=None) | Q(location__in=places.order_by().values("pk"))
    return import_rows().filter(here, kind__in=kinds)


def one_import(pk: int) -> ListImport:
    """Return one import. Raise Http404."""
    try:
        return import_rows().get(pk=pk)
    except (ListImport.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def standing_import(kind: str, sha256: str) -> ListImport | None:
    """Return the import that this file is already, unless it was undone."""
    rows = import_rows().filter(kind=kind, original=sha256, undone_at=None)
    return rows.first()
