"""Django's own command, without a look at the addresses."""

from typing import Any

from django.core.checks import Tags
from django.core.checks.registry import registry
from django.core.management.commands import migrate


class Command(migrate.Command):
    """Checks everything but the addresses: that would load every page for nothing."""

    def check(self, *given: Any, **options: Any) -> None:  # noqa: ANN401
        """Run the checks of every tag but one."""
        tags = sorted(registry.tags_available() - {Tags.urls})
        super().check(*given, **{"tags": tags, **options})
