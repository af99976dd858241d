"""A column for the nodes half way up each tile of the tree, still empty.

The column may be empty, so it is added without rewriting a row, in no time at any size;
PostgreSQL locks the table of tiles for that moment. Killed, it is there or it is not, and
it is run again.
"""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0050_memos_to_post_have_an_index")]

    operations = [
        migrations.AddField(
            model_name="treetile",
            name="middle",
            field=models.BinaryField(null=True),
        ),
    ]
