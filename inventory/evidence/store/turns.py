"""One at a time: whoever writes the row of an original, or moves its file aside."""

from django.db import connection, transaction

ORIGINALS_LOCK = 7_201_371
"""The advisory lock that PostgreSQL's writers of originals queue for."""


def take_turn() -> None:
    """Queue for the right to write rows of originals, until the transaction ends.

    SQLite's writers queue before they begin a transaction. Raises
    TransactionManagementError outside of one.
    """
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "A turn is taken in the transaction that uses it."
        )
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [ORIGINALS_LOCK])
