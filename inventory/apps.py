"""The ground floor's entry in Django's list of apps."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class InventoryConfig(AppConfig):
    """What arrived, what it came in, and whose money is tied up in it."""

    name = "inventory"
    verbose_name = "Receiving and crates"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Keep triggers in place around every migration, and seal what is older."""
        from inventory import triggers  # noqa: PLC0415
        from inventory.evidence.seal import (
            ledger_check,  # noqa: PLC0415
            sent_documents,  # noqa: PLC0415
        )
        from inventory.management import after_migration  # noqa: PLC0415

        pre_migrate.connect(
            triggers.drop_before_migrate, sender=self, dispatch_uid="drop_triggers"
        )
        ledger_check.register()
        sent_documents.register()
        post_migrate.connect(triggers.make_after_migrate, dispatch_uid="make_triggers")
        post_migrate.connect(
            after_migration.seal_after_migrate, dispatch_uid="seal_standing_rows"
        )
