"""The upper floor's entry in Django's list of apps."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ClaimsConfig(AppConfig):
    """What is wrong, by when it must be said, who pays and how much."""

    name = "claims"
    verbose_name = "Findings and claims"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell the ground floor of this one, and keep claim files after a migration."""
        from claims.management import after_migration  # noqa: PLC0415
        from claims.registration import FLOOR  # noqa: PLC0415
        from inventory.upper_floor import register  # noqa: PLC0415

        register(FLOOR)
        post_migrate.connect(
            after_migration.keep_packets_after_migrate, dispatch_uid="keep_packets"
        )
