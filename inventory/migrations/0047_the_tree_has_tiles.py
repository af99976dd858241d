"""The table of the tree's tiles, still empty.

A new table: no time and no lock at any size of house. Killed, nothing is there, and it
is run again.
"""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0046_numbers_have_their_keys")]

    operations = [
        migrations.CreateModel(
            name="TreeTile",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("level", models.PositiveSmallIntegerField()),
                ("place", models.PositiveBigIntegerField()),
                ("root", models.BinaryField()),
                ("hashes", models.BinaryField()),
            ],
            options={
                "ordering": ["level", "place"],
                "constraints": [models.UniqueConstraint(fields=("level", "place"), name="tree_tile_once")],
            },
        ),
    ]
