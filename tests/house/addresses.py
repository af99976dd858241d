"""What the tests that walk over every address share."""

from contextlib import contextmanager

from django.db import transaction
from django.urls import URLPattern, get_resolver


@contextmanager
def undone():
    """Take back whatever is written inside."""
    with transaction.atomic():
        try:
            yield
        finally:
            transaction.set_rollback(True)


def names_of_the_house():
    """Return the names of every address of the two floors."""
    found = set()
    pending = list(get_resolver().url_patterns)
    while pending:
        one = pending.pop()
        if isinstance(one, URLPattern):
            module = getattr(one.callback, "__module__", "")
            if module.startswith(("inventory.", "claims.")):
                found.add(one.name)
        elif getattr(one, "app_name", None) != "admin":
            pending.extend(one.url_patterns)
    return found
