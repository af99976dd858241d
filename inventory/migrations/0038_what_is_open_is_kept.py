"""Tables that the database derives, filled for what is there already.

The filling takes 0.2 s of processor time at 20,000 crates and machines on SQLite, and grows
with them: some 10 s at a million. On PostgreSQL it locks nothing but the new tables. It
is one transaction: killed, it left nothing, and is run again from the start.
"""

import django.db.models.deletion
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from inventory.derived import OWN_KINDS, fill, fill_sums


def fill_own(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    fill_sums(schema_editor.connection)
    fill(schema_editor.connection, *OWN_KINDS)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0037_photos_are_read_after_their_answer")]

    operations = [
        migrations.CreateModel(
            name="OpenWork",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        primary_key=True,
                        serialize=False,
                        auto_created=True,
                        verbose_name="ID",
                    ),
                ),
                ("what", models.CharField(max_length=20)),
                ("key", models.BigIntegerField()),
            ],
            options={
                "ordering": ["what", "key"],
                "verbose_name_plural": "open work",
                "constraints": [
                    models.UniqueConstraint(
                        fields=["what", "key"], name="open_work_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="OpenSum",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        primary_key=True,
                        serialize=False,
                        auto_created=True,
                        verbose_name="ID",
                    ),
                ),
                ("cents", models.BigIntegerField()),
                (
                    "account",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="open_sums",
                        to="inventory.account",
                    ),
                ),
                (
                    "deposit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="open_sums",
                        to="inventory.deposit",
                    ),
                ),
            ],
            options={
                "ordering": ["deposit_id", "account_id"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=["account", "deposit"], name="open_sum_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="AccountMonth",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        primary_key=True,
                        serialize=False,
                        auto_created=True,
                        verbose_name="ID",
                    ),
                ),
                ("month", models.DateField()),
                ("debits", models.BigIntegerField()),
                ("credits", models.BigIntegerField()),
                ("closing", models.BigIntegerField()),
                (
                    "account",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="months",
                        to="inventory.account",
                    ),
                ),
            ],
            options={
                "ordering": ["account_id", "month"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=["account", "month"], name="account_month_once"
                    )
                ],
            },
        ),
        migrations.RunPython(fill_own, migrations.RunPython.noop, elidable=False),
    ]
