import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("claims", "0016_machines_have_claims_of_their_own"),
        ('inventory', '0024_a_mail_is_a_row_of_the_outbox'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='ClaimPayment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField()),
                ('on', models.DateField()),
                ('cents', models.PositiveBigIntegerField()),
                ('method', models.CharField(choices=[('check', 'Check'), ('transfer', 'Bank transfer (ACH or wire)'), ('card', 'Card'), ('credit', "Carrier's credit against open freight bills"), ('other', 'Other')], max_length=10)),
                ('reference', models.CharField(blank=True, max_length=80)),
                ('bills', models.CharField(blank=True, max_length=300)),
                ('in_full', models.BooleanField(default=False)),
                ('reason', models.TextField(blank=True, max_length=1000)),
                ('is_former', models.BooleanField(default=False)),
                ('recorded_at', models.DateTimeField()),
            ],
            options={
                'ordering': ['claim_id', 'number'],
            },
        ),
        migrations.CreateModel(
            name='ClaimStep',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('act', models.CharField(max_length=24)),
                ('before', models.CharField(max_length=14)),
                ('after', models.CharField(max_length=14)),
                ('on', models.DateField()),
                ('choice', models.CharField(blank=True, max_length=24)),
                ('who', models.CharField(blank=True, max_length=120)),
                ('whom', models.CharField(blank=True, max_length=120)),
                ('cents', models.PositiveBigIntegerField(blank=True, null=True)),
                ('by_day', models.DateField(blank=True, null=True)),
                ('note', models.TextField(blank=True, max_length=2000)),
                ('recorded_at', models.DateTimeField()),
            ],
            options={
                'ordering': ['claim_id', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='ClaimStepFile',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddField(
            model_name='claim',
            name='closed_on',
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AlterField(
            model_name='claim',
            name='state',
            field=models.CharField(choices=[('drafted', 'Draft'), ('sent', 'Sent, no proof of delivery'), ('received', 'Received by carrier'), ('acknowledged', 'Acknowledged'), ('offered', 'Offer received'), ('countered', 'Counter-offer sent'), ('accepted', 'Offer accepted'), ('disallowed', 'Declined in writing'), ('settled', 'Settled'), ('not-pursued', 'Not pursued'), ('withdrawing', 'Withdrawn, letter not sent'), ('withdrawn', 'Withdrawn')], default='drafted', max_length=14),
        ),
        migrations.AddField(
            model_name='claimpayment',
            name='claim',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='payments', to='claims.claim'),
        ),
        migrations.AddField(
            model_name='claimpayment',
            name='recorded_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='claimpayment',
            name='reverses',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reversal', to='claims.claimpayment'),
        ),
        migrations.AddField(
            model_name='claimstep',
            name='claim',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='steps', to='claims.claim'),
        ),
        migrations.AddField(
            model_name='claimstep',
            name='payment',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='steps', to='claims.claimpayment'),
        ),
        migrations.AddField(
            model_name='claimstep',
            name='recorded_by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='claimstepfile',
            name='evidence',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='step_links', to='inventory.evidence'),
        ),
        migrations.AddField(
            model_name='claimstepfile',
            name='step',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='file_links', to='claims.claimstep'),
        ),
        migrations.AddField(
            model_name='claimstep',
            name='files',
            field=models.ManyToManyField(related_name='claim_steps', through='claims.ClaimStepFile', to='inventory.evidence'),
        ),
        migrations.AddConstraint(
            model_name='claimpayment',
            constraint=models.UniqueConstraint(fields=('claim', 'number'), name='payment_number_once'),
        ),
        migrations.AddConstraint(
            model_name='claimpayment',
            constraint=models.CheckConstraint(condition=models.Q(('cents__gt', 0)), name='payment_above_nothing'),
        ),
        migrations.AddConstraint(
            model_name='claimpayment',
            constraint=models.CheckConstraint(condition=models.Q(('reverses', None), models.Q(('reason', ''), _negated=True), _connector='OR'), name='payment_reversed_with_reason'),
        ),
        migrations.AddConstraint(
            model_name='claimpayment',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('method', 'credit'), _negated=True), models.Q(('bills', ''), _negated=True), _connector='OR'), name='credit_names_its_bills'),
        ),
        migrations.AddConstraint(
            model_name='claimstepfile',
            constraint=models.UniqueConstraint(fields=('step', 'evidence'), name='file_once_a_claim_step'),
        ),
    ]
