"""Crates already here get the state that their own record tells."""

from django.apps.registry import Apps as StateApps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.models import Q


def start(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    here = apps.get_model("inventory", "Crate").objects.filter(
        Q(state=""), ~Q(look="refused"), kind="reusable"
    )
    here.filter(opened_at=None).update(state="full")
    here.exclude(opened_at=None).update(state="emptied")


class Migration(migrations.Migration):
    dependencies = [("inventory", "0003_crates_have_a_life_and_money")]
    operations = [migrations.RunPython(start, migrations.RunPython.noop)]
