"""A table of how commands ended, and an index of the mails that are open.

At a million mails the index takes about a second; on PostgreSQL nobody writes to that
table meanwhile. Both steps are one transaction each: after a kill it begins again.
"""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0039_desks_have_indexes'),
    ]

    operations = [
        migrations.CreateModel(
            name='UpkeepRun',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('task', models.CharField(max_length=20, unique=True)),
                ('ended_at', models.DateTimeField()),
                ('went_well', models.BooleanField()),
                ('good_at', models.DateTimeField(blank=True, null=True)),
                ('words', models.CharField(blank=True, max_length=300)),
            ],
            options={
                'ordering': ['task'],
            },
        ),
        migrations.AddIndex(
            model_name='outgoingmail',
            index=models.Index(condition=models.Q(('state__in', ['waiting', 'refused'])), fields=['state', 'due_from'], name='mail_open'),
        ),
    ]
