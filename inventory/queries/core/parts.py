"""Finding rows by any part of a number, the nearest first."""

from typing import TypeVar

from django.db.models import Case, IntegerField, Model, Q, QuerySet, Value, When

Row = TypeVar("Row", bound=Model)


def has_part(column: str, key: str) -> Q:
    """Return what finds a part of a number in its key column; nothing for no key."""
    return Q(**{f"{column}__contains": key}) if key else Q(pk=None)


def nearest_first(rows: QuerySet[Row], column: str, key: str) -> QuerySet[Row]:
    """Return the rows with the whole number first, then its beginning; newest first."""
    near = Case(
        When(**{column: key}, then=Value(0)),
        When(**{f"{column}__startswith": key}, then=Value(1)),
        default=Value(2),
        output_field=IntegerField(),
    )
    return rows.order_by(near, "-pk")
