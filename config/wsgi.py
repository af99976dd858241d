"""The entry point for a WSGI server: it serves only a sound database."""

import os

from django.core.wsgi import get_wsgi_application

from config.body import CountBodies

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

_django = get_wsgi_application()

from config.checks import refuse_to_serve_unsound  # noqa: E402 - needs the app registry

refuse_to_serve_unsound()

application = CountBodies(_django)
