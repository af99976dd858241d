"""What a house's database does not hold: tables, states and kinds of event."""

from django.apps import apps

from inventory.rules.core import event_kinds

NEVER_MADE = frozenset(
    (
        "claim.carried-over",
        "deadline.met",
        "packet.kept",
        "person.assigned",
        "person.disabled",
        "person.enabled",
        "rows.sealed",
    )
)
"""Kinds of event that no act of this version records, or a migration alone."""

TOLD_APART = frozenset(("state", "fate", "kind"))
"""The columns of which every choice must be seen."""


def lacking(file):
    """Yield what this version knows and the SQLite file does not hold, one a line."""
    for model in apps.get_models():
        if model._meta.app_label in {"claims", "inventory"}:
            yield from _of_table(file, model)
    told = _values(file, "inventory_event", "kind")
    for kind in sorted({*event_kinds.sentences} - told - NEVER_MADE):
        yield f"event {kind}"


def _of_table(file, model):
    table, label = model._meta.db_table, model._meta.label
    if not _values(file, table, model._meta.pk.column):
        yield f"any {label}"
    for field in model._meta.fields:
        if field.name in TOLD_APART and field.choices:
            found = _values(file, table, field.column)
            for key, _ in field.flatchoices:
                if key not in found:
                    yield f"{label}.{field.name} {key}"


def _values(file, table, column):
    """Return what stands in a column; nothing where a later version added it."""
    columns = {row[1] for row in file.execute(f"PRAGMA table_info('{table}')")}
    if column not in columns:
        return set()
    return {value for (value,) in file.execute(f'SELECT "{column}" FROM "{table}"')}
