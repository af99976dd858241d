import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0018_the_cost_of_going_on'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='OverlapAnswer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('insurer', models.CharField(choices=[('no', 'No insurer was notified'), ('told', 'An insurer was notified and has not paid'), ('paid', 'An insurer has paid')], max_length=4)),
                ('insurer_name', models.CharField(blank=True, max_length=120)),
                ('insurer_cents', models.PositiveBigIntegerField(default=0)),
                ('holds_right', models.BooleanField(default=False)),
                ('supplier_cents', models.PositiveBigIntegerField(default=0)),
                ('note', models.TextField(blank=True, max_length=1000)),
                ('answered_at', models.DateTimeField()),
                ('answered_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('claim', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='overlap_answers', to='claims.claim')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('insurer', 'no'), models.Q(('insurer_name', ''), _negated=True), _connector='OR'), name='insurer_told_has_a_name'), models.CheckConstraint(condition=models.Q(models.Q(('insurer', 'paid'), _negated=True), ('insurer_cents__gt', 0), _connector='OR'), name='insurer_paid_an_amount')],
            },
        ),
    ]
