"""Write the migration that makes a new house's tables in one step.

    python -m tests.upgrade.in_one_step inventory claims

A house that ran the earlier migrations goes on with those; a new one, and every test
run, takes this one: to draw the models anew for each of three hundred small steps took
most of a minute. ``test_houses.py`` compares what the two ways make.
"""

import sys
from pathlib import Path

import django

SAID = """All tables of a new house at once, in the stead of the steps that it replaces.

Written by ``tests/upgrade/in_one_step.py``; a house that began with the steps goes on
with them.
"""


def one_step(label):
    """Return the migration of an app that replaces all it has."""
    from django.apps import apps
    from django.db.migrations import CreateModel, Migration
    from django.db.migrations.loader import MigrationLoader
    from django.db.migrations.state import ModelState

    from inventory.management.create_tables import CreateTables

    loader = MigrationLoader(None)
    names = sorted(
        name
        for (app, name), one in loader.disk_migrations.items()
        if app == label and not one.replaces
    )
    made = type("Migration", (Migration,), {})(f"0001_to_{names[-1][:4]}", label)
    made.initial = True
    made.replaces = [(label, name) for name in names]
    needed = {
        tuple(key)
        for name in names
        for key in loader.disk_migrations[label, name].dependencies
        if key[0] != label and key[1] != "__first__"
    }
    # The last of each app brings those before it.
    made.dependencies = sorted(dict(sorted(needed)).items())
    states = map(ModelState.from_model, apps.get_app_config(label).get_models())
    made.operations = [
        CreateTables(
            [
                CreateModel(
                    one.name,
                    list(one.fields.items()),
                    {key: value for key, value in one.options.items() if value},
                    one.bases,
                    one.managers,
                )
                for one in states
            ]
        )
    ]
    return made


def main(labels):
    from django.apps import apps
    from django.db.migrations.writer import MigrationWriter

    for label in labels:
        made = one_step(label)
        folder = Path(apps.get_app_config(label).path, "migrations")
        for former in folder.glob("0001_to_*.py"):
            former.unlink()
        path = folder / f"{made.name}.py"
        told = MigrationWriter(made, include_header=False).as_string()
        path.write_text(f'"""{SAID}"""\n\n{told}')
        print(path)


if __name__ == "__main__":
    django.setup()
    main(sys.argv[1:])
