"""Legal holds over the whole house.

One new, empty table: no time and no lock at any size of house. Killed, nothing is
there, and it is run again.
"""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0043_people_have_passkeys")]

    operations = [
        migrations.CreateModel(
            name="LegalHold",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("matter", models.CharField(max_length=120)),
                ("reason", models.TextField(max_length=1000)),
                ("placed_at", models.DateTimeField()),
                ("lifted_at", models.DateTimeField(blank=True, null=True)),
                ("lifted_because", models.TextField(blank=True, max_length=1000)),
                ("lifted_by", models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("placed_by", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
            ],
            options={
                "ordering": ["-placed_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("lifted_at", None), ("lifted_because", ""), ("lifted_by", None)),
                            models.Q(
                                ("lifted_at__isnull", False),
                                ("lifted_by__isnull", False),
                                models.Q(("lifted_because", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="legal_hold_lifted_whole",
                    )
                ],
            },
        ),
    ]
