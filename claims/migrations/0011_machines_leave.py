import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("claims", "0010_places_on_the_machine"),
        ('inventory', '0019_engine_serials'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Departure',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('way', models.CharField(choices=[('sold', 'Sold, to the customer'), ('transferred', 'Transferred to another location'), ('returned', 'Returned to the supplier'), ('back', 'Back here')], max_length=12)),
                ('to', models.CharField(blank=True, max_length=120)),
                ('release', models.CharField(blank=True, choices=[('complete', 'Complete'), ('open-items', 'Complete, with open items'), ('manager', 'Released by the manager without sign-off'), ('before', 'Released before sign-off existed')], max_length=12)),
                ('checks', models.JSONField(blank=True, default=dict)),
                ('note', models.TextField(blank=True, max_length=1000)),
                ('moved_on', models.DateField()),
                ('recorded_at', models.DateTimeField()),
                ('recorded_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('unit', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='departures', to='inventory.unit')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('way', 'back'), models.Q(models.Q(('release', ''), _negated=True), models.Q(('to', ''), _negated=True)), _connector='OR'), name='machine_leaves_with_a_release'), models.CheckConstraint(condition=models.Q(models.Q(('way', 'back'), _negated=True), models.Q(('note', ''), _negated=True), _connector='OR'), name='machine_is_back_with_a_reason')],
            },
        ),
    ]
