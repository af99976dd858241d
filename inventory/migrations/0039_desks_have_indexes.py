"""Indexes for what is read by day, by state, by book and in order.

Each is made in one statement, which on PostgreSQL keeps writers of its table waiting
for as long as one reading of that table takes. Killed, it left nothing, and is run
again.
"""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0038_what_is_open_is_kept")]

    operations = [
        migrations.AddIndex(
            model_name="shipment",
            index=models.Index(
                fields=["supplier", "location"], name="bills_of_supplier"
            ),
        ),
        migrations.AddIndex(
            model_name="balanceassertion",
            index=models.Index(
                fields=["location", "supplier", "currency", "as_of"],
                name="statements_of_book",
            ),
        ),
        migrations.AddIndex(
            model_name="cratereturn",
            index=models.Index(fields=["state", "-id"], name="returns_in_order"),
        ),
        migrations.AddIndex(
            model_name="creditmemo",
            index=models.Index(
                fields=["is_posted", "-dated_on", "-id"], name="memos_in_order"
            ),
        ),
        migrations.AddIndex(
            model_name="delivery",
            index=models.Index(fields=["-arrived_at", "-id"], name="trucks_in_order"),
        ),
        migrations.AddIndex(
            model_name="delivery",
            index=models.Index(
                fields=["location", "carrier", "-arrived_at"], name="carrier_last_came"
            ),
        ),
        migrations.AddIndex(
            model_name="expecteddelivery",
            index=models.Index(fields=["expected_on", "id"], name="expected_in_order"),
        ),
        migrations.AddIndex(
            model_name="shortcredit",
            index=models.Index(fields=["state", "opened_on"], name="shorts_by_state"),
        ),
        migrations.AddIndex(
            model_name="shortcredit",
            index=models.Index(fields=["opened_on", "id"], name="shorts_in_order"),
        ),
        migrations.AddIndex(
            model_name="suspenseline",
            index=models.Index(fields=["state", "opened_on"], name="held_by_state"),
        ),
        migrations.AddIndex(
            model_name="suspenseline",
            index=models.Index(fields=["opened_on", "id"], name="held_in_order"),
        ),
        migrations.AddIndex(
            model_name="handover",
            index=models.Index(fields=["signed_at"], name="receipts_in_order"),
        ),
    ]
