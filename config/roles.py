"""What the application's own user of PostgreSQL may do: write, and not undo.

Whoever owns a table can drop its triggers and change what they keep. So the owner
makes the tables, in migrations, and the server runs as another user, who may only add
to a table whose rows are never changed.
"""

import re
from collections.abc import Iterator

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper

from inventory.triggers import APPEND_ONLY, kept_tables

_USER = re.compile(r"[a-z_][a-z0-9_]{0,62}")

_RIGHTS = """
SELECT rolsuper OR pg_has_role(current_user, tableowner, 'USAGE')
FROM pg_roles, pg_tables
WHERE rolname = current_user AND schemaname = current_schema()
  AND tablename = 'inventory_event'
"""


def grants(connection: BaseDatabaseWrapper, user: str) -> Iterator[str]:
    """Yield the statements that give this user its rights, and take all others.

    Raise ValueError for a name that would have to be quoted.
    """
    if not _USER.fullmatch(user):
        raise ValueError(
            "A user's name has small letters, digits and underscores, and begins with "
            "a letter."
        )
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_database(), current_schema()")
        database, schema = cursor.fetchone()
    yield f'GRANT CONNECT ON DATABASE "{database}" TO {user}'
    yield f'GRANT USAGE ON SCHEMA "{schema}" TO {user}'
    yield f'REVOKE ALL ON ALL TABLES IN SCHEMA "{schema}" FROM {user}'
    for table in _tables(connection):
        yield f'GRANT {_rights_on(table)} ON "{table}" TO {user}'
    yield f'GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA "{schema}" TO {user}'


def is_owner(connection: BaseDatabaseWrapper) -> bool:
    """Return whether this connection's user could drop a trigger of the house."""
    if connection.vendor != "postgresql":
        return False
    with connection.cursor() as cursor:
        cursor.execute(_RIGHTS)
        found = cursor.fetchone()
    return bool(found and found[0])


def _tables(connection: BaseDatabaseWrapper) -> list[str]:
    return sorted(connection.introspection.table_names())


def _rights_on(table: str) -> str:
    if table in APPEND_ONLY:
        # To lock a row PostgreSQL asks for the right to change one column. The key is
        # that column, and its trigger refuses the change.
        return f'SELECT, INSERT, UPDATE ("{_key_of(table)}")'
    if table in kept_tables():
        return "SELECT, INSERT, UPDATE"
    if table == "django_migrations":
        return "SELECT"
    return "SELECT, INSERT, UPDATE, DELETE"


def _key_of(table: str) -> str:
    for model in apps.get_models():
        if model._meta.db_table == table:
            return str(model._meta.pk.column)
    raise LookupError(table)
