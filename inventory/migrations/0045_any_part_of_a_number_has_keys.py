"""The table of search keys, still empty, and what finds a part of a text in it.

It takes no time at any size but for the index on deposits, which on PostgreSQL keeps
their writers waiting for one reading of that table. Killed, it left nothing.
PostgreSQL needs the extension pg_trgm, which is made here where this user may.
"""

import django.db.models.deletion
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from inventory.search_index import make_parts


def make(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    make_parts(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0044_legal_holds")]

    operations = [
        migrations.CreateModel(
            name="SearchKey",
            fields=[
                ("id", models.BigIntegerField(primary_key=True, serialize=False)),
                ("kind", models.PositiveSmallIntegerField()),
                ("key", models.BigIntegerField()),
                ("text", models.TextField()),
                (
                    "location",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="inventory.location",
                    ),
                ),
            ],
            options={"ordering": ["id"]},
        ),
        migrations.RunPython(make, migrations.RunPython.noop),
        migrations.AddIndex(
            model_name="searchkey",
            index=models.Index(
                fields=["kind", "location", "text", "-id"], name="search_begins"
            ),
        ),
        migrations.AddIndex(
            model_name="searchkey",
            index=models.Index(fields=["kind", "key"], name="search_of_row"),
        ),
        migrations.AddIndex(
            model_name="deposit",
            index=models.Index(
                fields=["crate_type", "invoiced_on", "id"], name="deposits_of_type"
            ),
        ),
    ]
