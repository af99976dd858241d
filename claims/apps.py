"""The upper floor's entry in Django's list of apps."""

from django.apps import AppConfig


class ClaimsConfig(AppConfig):
    """What is wrong, by when it must be said, who pays and how much."""

    name = "claims"
    verbose_name = "Findings and claims"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell the ground floor of this one: its pages, tables, acts and events."""
        from claims.registration import FLOOR  # noqa: PLC0415
        from inventory.upper_floor import register  # noqa: PLC0415

        register(FLOOR)
