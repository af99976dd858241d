"""How soon a command begins, by an empty Django: ``python -m tests.bench.starts``.

A look, not a test. Each command runs in turn with the same one of a project that has
Django's own apps and nothing else, every second round in the other order. Everything is
compiled first, into a folder of its own. Processor time, medians; ratios count.
"""

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROUNDS = 9
COMMANDS = {
    ("reckon", "no URLs"): 1.5,
    ("showmigrations", "no URLs"): 1.5,
    ("migrate --check", "no URLs, checks of tables"): 1.5,
    ("check", "all URLs"): 2.5,
}
SETTINGS = """
SECRET_KEY = "x" * 60
_contrib = ["admin", "auth", "contenttypes", "sessions", "messages", "staticfiles"]
INSTALLED_APPS = ["empty", *(f"django.contrib.{name}" for name in _contrib)]
MIDDLEWARE = [
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
]
ROOT_URLCONF = "empty.urls"
_names = ["django.contrib.auth", "django.contrib.messages", "django.template"]
_words = ["auth", "messages", "request"]
TEMPLATES = [{
    "BACKEND": "django.template.backends.django.DjangoTemplates",
    "APP_DIRS": True,
    "OPTIONS": {"context_processors": [
        f"{name}.context_processors.{word}"
        for name, word in zip(_names, _words, strict=True)
    ]},
}]
DATABASES = {"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": "db.sqlite3"}}
STATIC_URL = "static/"
"""
URLS = """
from django.contrib import admin
from django.urls import path
urlpatterns = [path("admin/", admin.site.urls)]
"""
NOTHING = """
from django.core.management.base import BaseCommand
class Command(BaseCommand):
    requires_system_checks = []
    def handle(self, *args, **options):
        pass
"""
MANAGE = """
import os, sys
os.environ["DJANGO_SETTINGS_MODULE"] = "empty.settings"
from django.core.management import execute_from_command_line
execute_from_command_line(sys.argv)
"""


def empty_project(folder: Path) -> Path:
    """Write a project with Django's own apps alone; return its folder."""
    commands = folder / "empty" / "management" / "commands"
    commands.mkdir(parents=True)
    for path in (commands, commands.parent, folder / "empty"):
        (path / "__init__.py").touch()
    (commands / "reckon.py").write_text(NOTHING)
    (folder / "empty" / "settings.py").write_text(SETTINGS)
    (folder / "empty" / "urls.py").write_text(URLS)
    (folder / "manage.py").write_text(MANAGE)
    return folder


def seconds(folder: Path, command: str, env: dict[str, str]) -> float:
    """Return the processor time of one run."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, "manage.py", *command.split()],
        cwd=folder,
        env=env,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=command != "reckon",  # without a question ours ends with 2
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Make both ready, run them in turn, and print the table."""
    with tempfile.TemporaryDirectory(prefix="starts-") as top:
        empty = empty_project(Path(top) / "project")
        env = {
            name: value
            for name, value in os.environ.items()
            if name not in ("PYTHONDONTWRITEBYTECODE", "DJANGO_SETTINGS_MODULE")
        }
        env |= {"DOCK_DATA_DIR": f"{top}/data", "PYTHONPYCACHEPREFIX": f"{top}/pyc"}
        for folder in (empty, ROOT):
            seconds(folder, "migrate --verbosity 0", env)
        sys.stdout.write(
            f"{'command':<18}{'loads':<28}{'ours':>8}{'empty':>8}{'ratio':>7}{'goal':>6}\n"
        )
        for (command, loads), goal in COMMANDS.items():
            taken: dict[Path, list[float]] = {ROOT: [], empty: []}
            for number in range(ROUNDS + 1):
                for folder in (ROOT, empty) if number % 2 else (empty, ROOT):
                    taken[folder].append(seconds(folder, command, env))
            ours, least = (
                statistics.median(taken[folder][1:]) for folder in (ROOT, empty)
            )
            sys.stdout.write(
                f"{command:<18}{loads:<28}{ours * 1000:>5.0f} ms{least * 1000:>5.0f} ms"
                f"{ours / least:>7.2f}{goal:>6}\n"
            )


if __name__ == "__main__":
    main()
