"""The upper floor's entry in Django's list of apps."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ClaimsConfig(AppConfig):
    """What is wrong, by when it must be said, who pays and how much."""

    name = "claims"
    verbose_name = "Findings and claims"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell the ground floor of this one, and finish a migration."""
        from claims.management import after_migration  # noqa: PLC0415
        from claims.queries.claim import former_settlements  # noqa: PLC0415
        from claims.registration import FLOOR  # noqa: PLC0415
        from inventory.upper_floor import register  # noqa: PLC0415

        register(FLOOR)
        former_settlements.register()
        post_migrate.connect(
            after_migration.carry_over_after_migrate, dispatch_uid="carry_over_claims"
        )
        post_migrate.connect(
            after_migration.keep_packets_after_migrate, dispatch_uid="keep_packets"
        )
