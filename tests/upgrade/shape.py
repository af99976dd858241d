"""The tables of a house as a list of sentences, so that two houses can be compared."""

import json
import sys

LEFT_BEHIND = "axes_"
"""Tables of a library that was let go: they stay in a house that had it."""


def shape_of(connection):
    """Return what the database says of its tables, in order."""
    from inventory.shape import pieces_of

    return sorted(
        f"{owner}: {text}"
        for owner, text in pieces_of(connection)
        if not owner.rpartition(" ")[2].startswith(LEFT_BEHIND)
    )


if __name__ == "__main__":
    import django

    django.setup()
    from django.db import connection

    json.dump(shape_of(connection), sys.stdout)
