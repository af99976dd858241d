#!/usr/bin/env python
"""Run one of the app's commands."""

import gc
import os
import sys


def main() -> None:
    """Hand the command line to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    gc.disable()  # what loads stays: to look for garbage there costs a tenth of the start
    import django  # noqa: PLC0415
    from django.conf import settings  # noqa: PLC0415
    from django.core.exceptions import ImproperlyConfigured  # noqa: PLC0415
    from django.core.management import execute_from_command_line  # noqa: PLC0415

    try:
        settings.INSTALLED_APPS  # noqa: B018 - reading one setting reads them all
    except ImproperlyConfigured as error:
        sys.exit(f"The settings do not fit together. {error}")
    django.setup()
    gc.freeze()
    gc.enable()
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
