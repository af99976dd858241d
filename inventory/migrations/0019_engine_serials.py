from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("inventory", "0018_photos_have_readings"),
    ]

    operations = [
        migrations.AddField(
            model_name='unit',
            name='engine_serial',
            field=models.CharField(blank=True, default='', max_length=60),
        ),
    ]
