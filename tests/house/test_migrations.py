"""The migrations say what the models say."""

from django.core.management import call_command
from django.test import TestCase


class MigrationTests(TestCase):
    def test_no_model_waits_for_a_migration(self):
        call_command("makemigrations", check_changes=True, dry_run=True, verbosity=0)
