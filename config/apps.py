"""Registers the start-up checks with Django."""

from django.apps import AppConfig


class GroundConfig(AppConfig):
    """The ground under the app: no tables, only checks."""

    name = "config"
    verbose_name = "Ground"

    def ready(self) -> None:
        """Register the checks, and what the security log is told."""
        from config import checks, security  # noqa: F401, PLC0415
