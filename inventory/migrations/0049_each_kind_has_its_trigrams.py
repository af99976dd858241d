"""PostgreSQL's trigrams of search keys in an index a kind, in place of one for all.

It takes about 4 s for a million keys, and keeps writers of search keys waiting as long.
Killed, it left nothing, and is run again. On SQLite there is nothing to do.
"""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from inventory.search_index import kinds_parts


def divide(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    if schema_editor.connection.vendor != "postgresql":
        return
    schema_editor.execute("DROP INDEX IF EXISTS search_parts")
    for sql in kinds_parts():
        schema_editor.execute(sql.replace("CREATE INDEX", "CREATE INDEX IF NOT EXISTS"))


class Migration(migrations.Migration):
    dependencies = [("inventory", "0048_full_tiles_are_kept")]

    operations = [migrations.RunPython(divide, migrations.RunPython.noop)]
