"""The upper floor's entry in Django's list of apps."""

from django.apps import AppConfig


class ClaimsConfig(AppConfig):
    """What is wrong, by when to report it, who pays and how much."""

    name = "claims"
    verbose_name = "Findings and claims"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Register this floor's event sentences with the ground floor's."""
        from claims.rules.core.event_kinds import SENTENCES  # noqa: PLC0415
        from inventory.rules.core import event_kinds  # noqa: PLC0415

        event_kinds.register(SENTENCES)
