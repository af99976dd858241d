"""Django's own command, without the checks: it reads what is applied, and no more."""

from django.core.management.commands import showmigrations


class Command(showmigrations.Command):
    """Lists the migrations."""

    requires_system_checks = []
