"""Marks, PROs and serials get the key by which any part of them is found."""

import django.db.models.deletion
from django.conf import settings
from django.apps.registry import Apps as StateApps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

import inventory.models.keys

BATCH = 1000
KEYS = (
    ("Crate", "mark", "mark_key"),
    ("Shipment", "pro_number", "pro_key"),
    ("Unit", "serial", "serial_key"),
)


def fill_keys(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Fill each key from its text. No image holds a key."""
    for name, text, key in KEYS:
        model = apps.get_model("inventory", name)
        column = model._meta.get_field(key)
        rows = model.objects.exclude(**{text: ""}).only("pk", text).order_by("pk")
        last = 0
        while batch := list(rows.filter(pk__gt=last)[:BATCH]):
            for row in batch:
                setattr(row, key, column.key_of(getattr(row, text)))
            model.objects.bulk_update(batch, [key])
            last = batch[-1].pk


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0011_receipts_end_bill_by_bill"),
    ]

    operations = [
        migrations.AddField(
            model_name="crate",
            name="mark_key",
            field=inventory.models.keys.KeyField(
                blank=True,
                db_index=True,
                default="",
                editable=False,
                max_length=200,
                of="mark",
            ),
        ),
        migrations.AddField(
            model_name="shipment",
            name="pro_key",
            field=inventory.models.keys.KeyField(
                blank=True,
                db_index=True,
                default="",
                editable=False,
                max_length=200,
                of="pro_number",
            ),
        ),
        migrations.AddField(
            model_name="unit",
            name="serial_key",
            field=inventory.models.keys.KeyField(
                blank=True,
                db_index=True,
                default="",
                editable=False,
                max_length=200,
                of="serial",
            ),
        ),
        migrations.AddField(
            model_name="unit",
            name="withdrawn_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="unit",
            name="withdrawn_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="unit",
            name="withdrawn_reason",
            field=models.CharField(blank=True, max_length=300),
        ),
        migrations.AddConstraint(
            model_name="crate",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("is_over", False),
                    models.Q(("kind", "one-way"), ("opened_at", None)),
                    _connector="OR",
                ),
                name="over_piece_never_enters_stock",
            ),
        ),
        migrations.RunPython(fill_keys, migrations.RunPython.noop),
    ]
