"""What suppliers announce: freight bills on the way, and their crates."""

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0013_photos_can_be_marked"),
    ]

    operations = [
        migrations.CreateModel(
            name="ExpectedDelivery",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("version", models.PositiveIntegerField(default=1)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.CharField(blank=True, max_length=300)),
                ("pro_number", models.CharField(blank=True, max_length=30)),
                ("bol_number", models.CharField(blank=True, max_length=40)),
                ("expected_on", models.DateField()),
                ("file_name", models.CharField(blank=True, max_length=100)),
                ("made_at", models.DateTimeField()),
                (
                    "carrier",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="expected",
                        to="inventory.carrier",
                    ),
                ),
                (
                    "location",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="expected",
                        to="inventory.location",
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "shipment",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="expected",
                        to="inventory.shipment",
                    ),
                ),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="expected",
                        to="inventory.supplier",
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "expected deliveries",
                "ordering": ["expected_on", "pk"],
            },
        ),
        migrations.CreateModel(
            name="ExpectedCrate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("position", models.PositiveSmallIntegerField()),
                ("mark", models.CharField(blank=True, max_length=60)),
                ("model", models.CharField(blank=True, max_length=80)),
                (
                    "pieces",
                    models.PositiveSmallIntegerField(
                        default=1,
                        validators=[django.core.validators.MinValueValidator(1)],
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("reusable", "Reusable, on deposit"),
                            ("one-way", "One-way"),
                        ],
                        max_length=10,
                    ),
                ),
                ("file_row", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "delivery",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="crates",
                        to="inventory.expecteddelivery",
                    ),
                ),
            ],
            options={
                "ordering": ["delivery_id", "position"],
            },
        ),
        migrations.AddIndex(
            model_name="expecteddelivery",
            index=models.Index(
                fields=["location", "expected_on"], name="expected_by_day"
            ),
        ),
        migrations.AddConstraint(
            model_name="expecteddelivery",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("pro_number", ""), _negated=True),
                    models.Q(("bol_number", ""), _negated=True),
                    _connector="OR",
                ),
                name="expected_has_a_number",
            ),
        ),
        migrations.AddConstraint(
            model_name="expecteddelivery",
            constraint=models.UniqueConstraint(
                condition=models.Q(
                    ("withdrawn_at__isnull", True),
                    models.Q(("pro_number", ""), _negated=True),
                ),
                fields=("location", "supplier", "pro_number"),
                name="one_announcement_a_pro",
            ),
        ),
        migrations.AddConstraint(
            model_name="expecteddelivery",
            constraint=models.UniqueConstraint(
                condition=models.Q(("withdrawn_at__isnull", True), ("pro_number", "")),
                fields=("location", "supplier", "bol_number"),
                name="one_announcement_a_bol",
            ),
        ),
        migrations.AddConstraint(
            model_name="expectedcrate",
            constraint=models.UniqueConstraint(
                fields=("delivery", "position"), name="expected_position_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="expectedcrate",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("pieces", 1),
                    models.Q(("mark", ""), ("pieces__gte", 1)),
                    _connector="OR",
                ),
                name="a_marked_crate_is_one_piece",
            ),
        ),
    ]
