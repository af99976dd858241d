"""What the ground floor does once a migration has gone all the way."""

from typing import Any

from django.apps import AppConfig, apps
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from inventory.actions.core.sealing import seal_standing_rows


def seal_after_migrate(*, sender: AppConfig, using: str, **_: Any) -> None:  # noqa: ANN401
    """Receive ``post_migrate``, once: after the last app, with nothing left to do."""
    last = [config for config in apps.get_app_configs() if config.models_module][-1]
    if sender.label != last.label or using != DEFAULT_DB_ALIAS:
        return
    executor = MigrationExecutor(connections[using])
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        return
    now = timezone.now()  # noqa: TID251 - a migration is a command
    seal_standing_rows(at=now)
