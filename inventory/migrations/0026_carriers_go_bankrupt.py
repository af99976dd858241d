import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0025_carriers_of_record_and_mailboxes'),
    ]

    operations = [
        migrations.CreateModel(
            name='CarrierBankruptcy',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('petition_on', models.DateField()),
                ('court', models.CharField(max_length=160)),
                ('case_number', models.CharField(max_length=40)),
                ('bar_on', models.DateField(blank=True, null=True)),
                ('reason', models.TextField(blank=True, max_length=1000)),
                ('recorded_at', models.DateTimeField()),
                ('carrier', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='bankruptcies', to='inventory.carrier')),
                ('paper', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.evidence')),
                ('recorded_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'carrier bankruptcies',
                'ordering': ['pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('bar_on', None), ('bar_on__gt', models.F('petition_on')), _connector='OR'), name='bar_date_after_petition')],
            },
        ),
    ]
