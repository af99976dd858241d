"""The table that says until when the deadlines of each bill stay as counted, still empty.

A new table: no time and no lock at any size of house. Killed, nothing is there, and it
is run again.
"""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("claims", "0030_claims_by_the_day_they_ended"),
        ("inventory", "0050_memos_to_post_have_an_index"),
    ]

    operations = [
        migrations.CreateModel(
            name="CountedBill",
            fields=[
                (
                    "shipment",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="+",
                        serialize=False,
                        to="inventory.shipment",
                    ),
                ),
                ("rules", models.CharField(blank=True, default="", max_length=16)),
                ("counted_for", models.DateField(null=True)),
                ("until", models.DateField(null=True)),
                ("changes", models.PositiveBigIntegerField(default=0)),
            ],
            options={"ordering": ["pk"]},
        ),
    ]
