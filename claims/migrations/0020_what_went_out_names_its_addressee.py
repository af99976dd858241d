
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0019_who_else_has_paid'),
        ('inventory', '0026_carriers_go_bankrupt'),
    ]

    operations = [
        migrations.AddField(
            model_name='claim',
            name='addressed_to',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
        migrations.AddField(
            model_name='claim',
            name='tracking',
            field=models.CharField(blank=True, default='', max_length=40),
        ),
        migrations.AddField(
            model_name='claimletter',
            name='addressed_to',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
        migrations.AddField(
            model_name='claimletter',
            name='tracking',
            field=models.CharField(blank=True, default='', max_length=40),
        ),
        migrations.AddField(
            model_name='claimstep',
            name='addressed_to',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
        migrations.AddField(
            model_name='claimstep',
            name='tracking',
            field=models.CharField(blank=True, default='', max_length=40),
        ),
        migrations.AddField(
            model_name='notice',
            name='addressed_to',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
        migrations.AddField(
            model_name='notice',
            name='tracking',
            field=models.CharField(blank=True, default='', max_length=40),
        ),
        migrations.AddField(
            model_name='supplement',
            name='addressed_to',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.carrier'),
        ),
        migrations.AddField(
            model_name='supplement',
            name='tracking',
            field=models.CharField(blank=True, default='', max_length=40),
        ),
    ]
