from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0003_inspections_keep_their_looks'),
    ]

    operations = [
        migrations.AddField(
            model_name='finding',
            name='safety_basis',
            field=models.CharField(blank=True, choices=[('replacement', 'Replaced with a new part'), ('instruction', 'Repaired as the maker instructs in writing')], max_length=12),
        ),
        migrations.AddField(
            model_name='finding',
            name='safety_reference',
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddConstraint(
            model_name='finding',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('safety_basis', 'instruction'), _negated=True), models.Q(('safety_reference', ''), _negated=True), _connector='OR'), name='maker_instruction_is_named'),
        ),
    ]
