"""Give the application's own user of PostgreSQL its rights."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection, transaction

from config.roles import grants


class Command(BaseCommand):
    """Prints the statements, or carries them out. Run it as the tables' owner."""

    help = (
        "Print what gives USER, who must exist, the rights of the server: to add to "
        "append-only tables and to change the others, and neither to drop a trigger "
        "nor to alter a table. With --apply, do it. Run it again after each migrate."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the user, and whether to do it."""
        parser.add_argument("user")
        parser.add_argument("--apply", action="store_true")

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Print, or do it in one transaction. Exit code 1 where it is refused."""
        if connection.vendor != "postgresql":
            raise CommandError("SQLite has no users. Nothing was changed.")
        try:
            statements = list(grants(connection, options["user"]))
            if not options["apply"]:
                self.stdout.write("".join(f"{one};\n" for one in statements))
                return
            with transaction.atomic(), connection.cursor() as cursor:
                for one in statements:
                    cursor.execute(one)
        except (ValueError, DatabaseError) as error:
            raise CommandError(f"Nothing was changed: {error}") from error
        self.stdout.write(f"{options['user']} has the rights of the server.")
