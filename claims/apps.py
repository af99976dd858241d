"""The upper floor's entry in Django's list of apps."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ClaimsConfig(AppConfig):
    """What is wrong, by when it must be said, who pays and how much."""

    name = "claims"
    verbose_name = "Findings and claims"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Lay this floor's event sentences beside the ground floor's; keep packets."""
        from claims.management import after_migration  # noqa: PLC0415
        from claims.rules.core.event_kinds import SENTENCES  # noqa: PLC0415
        from inventory.rules.core import event_kinds  # noqa: PLC0415

        event_kinds.register(SENTENCES)
        post_migrate.connect(
            after_migration.keep_packets_after_migrate, dispatch_uid="keep_packets"
        )
