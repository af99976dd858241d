from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0008_the_bench_keeps_setups'),
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
