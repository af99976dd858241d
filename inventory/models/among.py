"""``pk__among=rows``: what ``pk__in`` finds, and the few keys are read first."""

from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import BigAutoField
from django.db.models.lookups import In


@BigAutoField.register_lookup
class Among(In):
    """Find rows by the keys that a query names, which must be few.

    PostgreSQL may take ``IN (SELECT ...)`` for a join, and begin it with the great table
    where it hopes to stop early. An array of keys is read once, before all else.
    """

    lookup_name = "among"

    def get_rhs_op(self, connection: BaseDatabaseWrapper, rhs: Any) -> str:  # noqa: ANN401
        """Return the comparison with ``rhs``, the query in its parentheses."""
        if connection.vendor == "postgresql":
            return f"= ANY (ARRAY {rhs})"
        return str(super().get_rhs_op(connection, rhs))
