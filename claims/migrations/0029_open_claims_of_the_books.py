"""The claims that are open in the books, and those not in them, for what is there already.

It takes some 2 s for 100,000 claims with their entries. It reads claims, bookings and the
legs of claims, and locks only the table that it fills. Killed, it left nothing, and is run
again from the start.
"""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from inventory.derived import fill


def fill_own(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    fill(schema_editor.connection, "booked-claim", "unbooked-claim")


class Migration(migrations.Migration):
    dependencies = [
        ("claims", "0028_numbers_have_their_keys"),
        ("inventory", "0046_numbers_have_their_keys"),
    ]

    operations = [migrations.RunPython(fill_own, migrations.RunPython.noop)]
