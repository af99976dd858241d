from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("claims", "0009_booked_time_is_taken_back"),
    ]

    operations = [
        migrations.AddField(
            model_name='finding',
            name='places',
            field=models.JSONField(blank=True, default=list),
        ),
        migrations.AddField(
            model_name='setupreading',
            name='places',
            field=models.JSONField(blank=True, default=list),
        ),
    ]
