"""Passkeys of each person who wants them.

A new, empty table: no time and no lock at any size of house. Killed, nothing is there,
and it is run again.
"""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0042_docks_share_phones")]

    operations = [
        migrations.CreateModel(
            name="Passkey",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=40)),
                ("credential_id", models.CharField(max_length=1400, unique=True)),
                ("credential", models.BinaryField()),
                ("count", models.BigIntegerField(default=0)),
                ("added_at", models.DateTimeField()),
                ("used_at", models.DateTimeField(blank=True, null=True)),
                ("person", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="passkeys", to=settings.AUTH_USER_MODEL)),
            ],
            options={"ordering": ["pk"]},
        ),
    ]
