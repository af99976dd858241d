"""The search keys of what is there already, some rows a transaction.

On SQLite it takes 1.6 s of processor time at 20,000 crates and as many machines, and grows
with them: some 80 s at a million. PostgreSQL took 4 s, so some 200 s. It reads the other
tables and locks none. Killed, it goes on behind the last row that has its keys.
"""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from inventory.searched import OWN_SEARCH_KINDS, fill_in_steps


def fill_own(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    fill_in_steps(schema_editor.connection, *OWN_SEARCH_KINDS.values())


class Migration(migrations.Migration):
    atomic = False

    dependencies = [("inventory", "0045_any_part_of_a_number_has_keys")]

    operations = [migrations.RunPython(fill_own, migrations.RunPython.noop)]
