"""Print a one-time link for someone who forgot their password."""

import os
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inventory.actions.core.versions import RefusedError
from inventory.actions.people.password_links import make_link
from inventory.models import User


class Command(BaseCommand):
    """For the only administrator, who has nobody to ask."""

    help = "Print a link that sets a new password, once, within one hour."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the sign-in name."""
        parser.add_argument("username")

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Print the link, or why there is none."""
        try:
            who = User.objects.get(username=options["username"])
            path = make_link(person=None, at=timezone.now(), who=who)
        except (User.DoesNotExist, RefusedError) as error:
            raise CommandError(f"{error} Nothing was changed.") from error
        port = os.environ.get("PORT", "8000")
        self.stdout.write(f"http://localhost:{port}{path}")
