"""Amounts no longer take the dollar for granted: whoever makes a row names its currency.

Only what Django knows of the columns changes. No table is touched, so no trigger and no
sealed row is.
"""

from django.db import migrations, models

from inventory.models.people import unnamed_currency

NAMES = (
    "account",
    "balanceassertion",
    "cratereturn",
    "crateterms",
    "creditmemo",
    "deposit",
    "entry",
    "returncosts",
    "shipment",
    "shortcredit",
)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0009_documents_that_went_out_are_kept")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.AlterField(
                    name,
                    "currency",
                    models.CharField(default=unnamed_currency, max_length=3),
                )
                for name in NAMES
            ]
        )
    ]
