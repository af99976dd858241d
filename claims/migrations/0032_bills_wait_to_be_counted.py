"""Every bill that is there already waits to be counted, some a transaction.

It takes some 2 s at a million bills on SQLite. It reads the bills and locks none. Killed,
it goes on behind the last bill that has its row. The first count after it reads all bills.
"""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from claims.counted_bills import fill_counted


def fill_own(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    fill_counted(schema_editor.connection)


class Migration(migrations.Migration):
    atomic = False

    dependencies = [("claims", "0031_counts_of_deadlines_are_kept")]

    operations = [migrations.RunPython(fill_own, migrations.RunPython.noop)]
