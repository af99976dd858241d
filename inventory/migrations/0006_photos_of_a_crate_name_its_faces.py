"""Photos can show a crate's faces, its inside, its blocking and its check."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0005_photos_can_be_withheld'),
    ]

    operations = [
        migrations.AlterField(
            model_name='evidence',
            name='kind',
            field=models.CharField(choices=[('load', 'Load before anything moved'), ('look', 'Crate as it stood'), ('damage', 'Damage, close'), ('label', 'Label or mark'), ('face', 'Crate, one face'), ('inside', 'Crate, inside'), ('blocking', 'Blocking and bracing'), ('crate-check', 'Crate parts as checked'), ('opening', 'As it was opened'), ('receipt', 'Signed delivery receipt'), ('carrier-image', "Carrier's image of the receipt"), ('bill-of-lading', 'Bill of lading'), ('packing-list', 'Packing list'), ('freight-bill', 'Freight bill'), ('freight-paid', 'Proof that the freight was paid'), ('supplier-invoice', "Supplier's invoice"), ('inspection-report', "Carrier's inspection report"), ('inspection-waiver', "Carrier's waiver of inspection"), ('repair-estimate', 'Repair estimate'), ('origin-condition', 'Condition at origin'), ('non-receipt', 'Certificate of non-receipt'), ('proof-of-receipt', 'Proof that they received it'), ('carrier-letter', 'Letter from the carrier'), ('other', 'Something else')], max_length=20),
        ),
    ]
