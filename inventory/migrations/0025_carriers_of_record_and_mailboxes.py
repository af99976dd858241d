
import django.core.validators
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0024_a_mail_is_a_row_of_the_outbox'),
    ]

    operations = [
        migrations.AddField(
            model_name='carrier',
            name='legal_name',
            field=models.CharField(blank=True, default='', max_length=120),
        ),
        migrations.AddField(
            model_name='carrier',
            name='usdot_number',
            field=models.CharField(blank=True, default='', max_length=8, validators=[django.core.validators.RegexValidator('^[0-9]{1,8}$', 'One to eight digits.')]),
        ),
        migrations.AddField(
            model_name='location',
            name='email',
            field=models.EmailField(blank=True, default='', max_length=254),
        ),
        migrations.AddField(
            model_name='shipment',
            name='broker',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
        migrations.AddField(
            model_name='shipment',
            name='delivering_carrier',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
        migrations.AddField(
            model_name='shipment',
            name='originating_carrier',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
        migrations.AddField(
            model_name='shipment',
            name='record_carrier',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
    ]
