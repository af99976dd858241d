"""What the ground floor does once a migration has gone all the way."""

from typing import Any

from django.apps import AppConfig, apps
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone


def seal_after_migrate(*, sender: AppConfig, using: str, **_: Any) -> None:  # noqa: ANN401
    """Receive ``post_migrate``, once: after the last app, with nothing left to do."""
    from inventory.actions.core.sealing import seal_standing_rows  # noqa: PLC0415
    from inventory.evidence.seal.tiles import fill_tiles  # noqa: PLC0415

    if is_last_step(sender, using):
        now = timezone.now()  # noqa: TID251 - a migration is a command
        seal_standing_rows(at=now)
        fill_tiles()  # those that somebody deleted, since they differed


def is_last_step(sender: AppConfig, using: str) -> bool:
    """Return whether this signal is the last of a migration that went all the way."""
    last = [config for config in apps.get_app_configs() if config.models_module][-1]
    if sender.label != last.label or using != DEFAULT_DB_ALIAS:
        return False
    executor = MigrationExecutor(connections[using])
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())
