"""The entry point for a WSGI server: it serves only a sound database."""

import os

import django
from django.core.wsgi import get_wsgi_application

from config.body import CountBodies

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

django.setup(set_prefix=False)

# These two need the app registry.
from config.checks import refuse_to_serve_unsound  # noqa: E402
from config.static_files import collect_when_changed  # noqa: E402

refuse_to_serve_unsound()
collect_when_changed()
_django = get_wsgi_application()

application = CountBodies(_django)
