"""Load the demo, relative to this moment."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from fixtures.cast import PASSWORD, PEOPLE
from inventory.models import Location, User


class Command(BaseCommand):
    """Loads the demo once; never where other machines can reach the server."""

    help = "Load the demo: invented dealer, carriers, suppliers, machines and people."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take --once."""
        parser.add_argument(
            "--once",
            action="store_true",
            help="do nothing where there is already data",
        )

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Load, or print why not; print who can sign in."""
        if not settings.DEMO_ALLOWED:
            raise CommandError(
                "The demo was not loaded: ALLOWED_HOSTS names a host that other "
                "machines can reach, and the demo's passwords are public."
            )
        if Location.objects.exists() or User.objects.exists():
            if not options["once"]:
                raise CommandError("There is already data. Nothing was loaded.")
        else:
            self._tell()
        names = {name for name, _, _ in PEOPLE}
        if User.objects.filter(username__in=names).count() == len(names):
            self._logins()

    def _tell(self) -> None:
        from fixtures.story import tell_story  # noqa: PLC0415 - draws, so is slow

        self.stdout.write("Loading the demo and drawing its photos...")
        with transaction.atomic():  # the whole demo, or none of it
            tell_story(timezone.now())

    def _logins(self) -> None:
        names = ", ".join([*(name for name, _, _ in PEOPLE), "nell", "ada"])
        self.stdout.write(f"Demo people: {names}. Password: {PASSWORD}")
