"""What the tests that walk over every address share."""

from contextlib import contextmanager

from django.db import transaction
from django.urls import URLPattern, get_resolver, reverse


@contextmanager
def undone():
    """Take back whatever is written inside."""
    with transaction.atomic():
        try:
            yield
        finally:
            transaction.set_rollback(True)


def address_for(rows, name, kind):
    """Return the address of this row: its keys, or words after them, or both."""
    keys = rows[kind] if kind else []
    if isinstance(keys, str):
        return reverse(name) + keys
    keys, words = keys if isinstance(keys, tuple) else (keys, "")
    return reverse(name, args=keys) + words


def names_of_the_house(floors=("inventory.", "claims.")):
    """Return the names of every address of the two floors, or of one of them."""
    found = set()
    pending = list(get_resolver().url_patterns)
    while pending:
        one = pending.pop()
        if isinstance(one, URLPattern):
            module = getattr(one.callback, "__module__", "")
            if module.startswith(floors):
                found.add(one.name)
        elif getattr(one, "app_name", None) != "admin":
            pending.extend(one.url_patterns)
    return found
