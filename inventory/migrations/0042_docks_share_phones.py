"""Phones that a dock shares, and the PINs by which people change there.

Two new, empty tables: no time and no lock at any size of house. Killed, nothing is
there, and it is run again.
"""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0041_people_have_a_second_step")]

    operations = [
        migrations.CreateModel(
            name="DockPhone",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=40)),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("made_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("location", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="phones", to="inventory.location")),
                ("made_by", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
            ],
            options={"ordering": ["location__name", "name", "pk"]},
        ),
        migrations.CreateModel(
            name="DockPin",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("digest", models.CharField(max_length=128)),
                ("set_at", models.DateTimeField()),
                ("person", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name="pin", to=settings.AUTH_USER_MODEL)),
            ],
            options={"abstract": False},
        ),
    ]
