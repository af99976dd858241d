"""Add the first administrator to an empty database."""

import getpass
import os
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inventory.actions.core.versions import RefusedError
from inventory.actions.people.people import add_person
from inventory.models import User


class Command(BaseCommand):
    """Asks for a name and a password; adds a person who manages people and locations."""

    help = "Add the first administrator. The password is read from the terminal."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the sign-in name and the full name; what is left out is asked."""
        parser.add_argument("username", nargs="?")
        parser.add_argument("full_name", nargs="?")
        parser.add_argument(
            "--once",
            action="store_true",
            help="do nothing where there is an administrator already",
        )

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Add the person, or print why not."""
        if User.objects.filter(is_administrator=True).exists():
            if options["once"]:
                return
            raise CommandError(
                "There is already an administrator. Nothing was changed. "
                "Administrators add people on the People page."
            )
        username = options["username"] or input("Sign-in name, such as ada: ")
        full_name = options["full_name"] or input("Your full name: ")
        if sys.stdin.isatty():
            password = getpass.getpass("Password (15 characters or more): ")
        else:
            password = sys.stdin.readline().rstrip("\n")
        try:
            person = add_person(
                person=None,
                at=timezone.now(),
                username=username,
                full_name=full_name,
                password=password,
                is_administrator=True,
                assigned=set(),
            )
        except RefusedError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"{person} can now sign in as {person.username}, on this machine at "
            f"http://localhost:{os.environ.get('PORT', '8000')}. The first page says "
            "what comes first."
        )
