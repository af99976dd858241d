from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0002_supplements_reach_the_carrier_too'),
    ]

    operations = [
        migrations.AddField(
            model_name='inspection',
            name='looks',
            field=models.JSONField(blank=True, default=list),
        ),
    ]
