"""An authenticator app and recovery codes of each person who wants them.

Two new, empty tables: no time and no lock at any size of house. Killed, nothing is
there, and it is run again.
"""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0040_how_the_house_is_kept")]

    operations = [
        migrations.CreateModel(
            name="SecondFactor",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("secret", models.BinaryField()),
                ("last_step", models.BigIntegerField()),
                ("added_at", models.DateTimeField()),
                ("person", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name="second_factor", to=settings.AUTH_USER_MODEL)),
            ],
            options={"abstract": False},
        ),
        migrations.CreateModel(
            name="RecoveryCode",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("head", models.CharField(max_length=4)),
                ("digest", models.CharField(max_length=128)),
                ("used_at", models.DateTimeField(blank=True, null=True)),
                ("factor", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="codes", to="inventory.secondfactor")),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [models.UniqueConstraint(fields=("factor", "head"), name="one_code_a_head")],
            },
        ),
    ]
