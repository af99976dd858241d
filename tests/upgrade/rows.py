"""Every row of a house as one hash, so that two moments can be compared."""

import hashlib
import json
import sys


def main():
    """Print ``{table: {key: hash}}``; with a file of columns, of those columns only."""
    from django.db import connection

    columns = json.loads(sys.argv[1]) if len(sys.argv) > 1 else columns_now(connection)
    found = {
        table: rows_of(connection, table, names) for table, names in columns.items()
    }
    json.dump({"columns": columns, "rows": found}, sys.stdout)


def columns_now(connection):
    """Return the columns of each table of ours, its key first."""
    with connection.cursor() as cursor:
        tables = connection.introspection.table_names(cursor)
        return {
            table: _key_first(connection, cursor, table)
            for table in sorted(tables)
            if table.startswith(("inventory_", "claims_"))
        }


def _key_first(connection, cursor, table):
    described = connection.introspection.get_table_description(cursor, table)
    key = connection.introspection.get_primary_key_column(cursor, table)
    return [key, *sorted(one.name for one in described if one.name != key)]


def rows_of(connection, table, names):
    """Return the hash of each row by its key."""
    listed = ", ".join(f'"{name}"' for name in names)
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT {listed} FROM "{table}"')
        return {str(row[0]): _hash(row) for row in cursor.fetchall()}


def _hash(row):
    return hashlib.sha256(repr([str(cell) for cell in row]).encode()).hexdigest()


if __name__ == "__main__":
    import django

    django.setup()
    main()
