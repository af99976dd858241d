"""Each creating form is answered once, under the id that it was shown with."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0006_photos_of_a_crate_name_its_faces'),
    ]

    operations = [
        migrations.CreateModel(
            name='Once',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('client_id', models.UUIDField()),
                ('act', models.CharField(max_length=60)),
                ('digest', models.CharField(max_length=64)),
                ('noun', models.CharField(blank=True, max_length=60)),
                ('key', models.CharField(blank=True, max_length=64)),
                ('label', models.CharField(blank=True, max_length=200)),
                ('page', models.CharField(blank=True, max_length=500)),
                ('message', models.TextField(blank=True)),
                ('made_at', models.DateTimeField()),
                ('location', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.location')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'once',
                'ordering': ['pk'],
                'constraints': [models.UniqueConstraint(fields=('person', 'client_id'), name='a_person_sends_an_id_once')],
            },
        ),
    ]
