"""What a move of the house writes into a database: what is done, or where all went.

One small table, there only while a move into this database is unfinished, or once the
house was moved out of it. No model knows it, and no other program reads it.
"""

from django.db.backends.base.base import BaseDatabaseWrapper

TABLE = "house_move"
MOVED_TO = "moved to"
"""The mark of a house that went elsewhere; any other table of marks is unfinished."""


def marks(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """Return every mark by its name; none where nothing was moved in or out."""
    if TABLE not in connection.introspection.table_names():
        return {}
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT item, words FROM {TABLE}")
        return dict(cursor.fetchall())


def begin_marks(connection: BaseDatabaseWrapper, first: dict[str, str]) -> None:
    """Make the table with its first marks. Call it within a transaction."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"CREATE TABLE {TABLE} (item varchar(200) PRIMARY KEY, words text NOT NULL)"
        )
        if connection.vendor == "postgresql":  # the server's user must see it too
            cursor.execute(f"GRANT SELECT ON {TABLE} TO PUBLIC")
    for item, words in first.items():
        mark(connection, item, words)


def mark(connection: BaseDatabaseWrapper, item: str, words: str) -> None:
    """Write a mark, or write it anew."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {TABLE} (item, words) VALUES (%s, %s) "
            "ON CONFLICT (item) DO UPDATE SET words = excluded.words",
            [item, words],
        )


def unmark(connection: BaseDatabaseWrapper, item: str) -> None:
    """Remove a mark."""
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {TABLE} WHERE item = %s", [item])


def end_marks(connection: BaseDatabaseWrapper) -> None:
    """Remove the table: the house is whole, and lives here."""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TABLE {TABLE}")


def why_not_used(connection: BaseDatabaseWrapper) -> str:
    """Return the sentence why nobody may work with this database, or nothing."""
    found = marks(connection)
    if not found:
        return ""
    if MOVED_TO in found:
        return (
            f"This house was moved to {found[MOVED_TO]}. Set DATABASE_URL to it; what "
            "would be recorded here would be missing there."
        )
    return (
        "A move of a house into this database is not finished. Run manage.py "
        "move_house again on the database it comes from."
    )
