"""Readings hold what the camera claims; photos are found by when they arrived.

Two columns that may be empty and one index. At a million photos the columns take no
time on either database; the index takes about two seconds, in which SQLite has no
other writer and PostgreSQL no other photo. Killed half-way, it begins again.
"""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0036_rates_and_files_of_written_answers'),
    ]

    operations = [
        migrations.AddField(
            model_name='reading',
            name='claims',
            field=models.JSONField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='reading',
            name='secret',
            field=models.UUIDField(blank=True, editable=False, null=True),
        ),
        migrations.AddIndex(
            model_name='evidence',
            index=models.Index(fields=['received_at'], name='evidence_by_receipt'),
        ),
    ]
