"""Counts and sums of a row's own rows, taken for the rows of one page alone.

A join would be grouped over the whole list before its first page is known.
"""

from django.db.models import Aggregate, Count, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce


def count_of(rows: QuerySet, link: str) -> Coalesce:  # type: ignore[type-arg]
    """Return, inside a query, how many of these rows have this link to its row."""
    return Coalesce(total_of(rows, link, Count("pk")), Value(0))


def total_of(rows: QuerySet, link: str, total: Aggregate) -> Subquery:  # type: ignore[type-arg]
    """Return, inside a query, a total over the rows that have this link to its row."""
    own = rows.filter(**{link: OuterRef("pk")}).order_by()
    return Subquery(
        own.values(link).annotate(total_of_own=total).values("total_of_own")
    )
