import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0018_claims_are_handed_to_their_supplier'),
        ('inventory', '0024_a_mail_is_a_row_of_the_outbox'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='GoingOnCost',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('currency', models.CharField(max_length=3)),
                ('limit_cents', models.PositiveBigIntegerField(blank=True, null=True)),
                ('limit_source', models.CharField(blank=True, max_length=200)),
                ('filing_cents', models.PositiveBigIntegerField(blank=True, null=True)),
                ('serving_cents', models.PositiveBigIntegerField(blank=True, null=True)),
                ('lawyer_cents', models.PositiveBigIntegerField(blank=True, null=True)),
                ('yearly_percent', models.DecimalField(blank=True, decimal_places=2, max_digits=5, null=True)),
                ('months', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('entered_at', models.DateTimeField()),
                ('claim', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='going_on', to='claims.claim')),
                ('entered_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('location', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='going_on', to='inventory.location')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('limit_cents', None), models.Q(('limit_source', ''), _negated=True), _connector='OR'), name='court_limit_with_source')],
            },
        ),
    ]
