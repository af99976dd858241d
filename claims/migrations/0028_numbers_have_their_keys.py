"""The search keys of this floor, for what is there already, some rows a transaction.

It takes a second or so for 100,000 claims. It reads the claims and locks no table. Killed,
it goes on behind the last claim that has its keys.
"""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from claims.search_kinds import SEARCH_KINDS
from inventory.searched import fill_in_steps


def fill_own(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    fill_in_steps(schema_editor.connection, *SEARCH_KINDS.values())


class Migration(migrations.Migration):
    atomic = False

    dependencies = [
        ("claims", "0027_what_is_open_is_kept"),
        ("inventory", "0046_numbers_have_their_keys"),
    ]

    operations = [migrations.RunPython(fill_own, migrations.RunPython.noop)]
