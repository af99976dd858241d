from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("claims", "0015_people_ask_to_be_reminded"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name='claim',
            name='one_live_claim_a_bill_and_claimant',
        ),
        migrations.AddField(
            model_name='claimline',
            name='holds',
            field=models.BooleanField(default=False),
        ),
        migrations.AddConstraint(
            model_name='claimline',
            constraint=models.UniqueConstraint(condition=models.Q(('holds', True)), fields=('finding',), name='finding_held_by_one_claim'),
        ),
    ]
