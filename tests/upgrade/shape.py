"""The tables of a house as a list of sentences, so that two houses can be compared."""

import json
import sys


def shape_of(connection):
    """Return what the database says of its tables, in order."""
    from inventory.shape import pieces_of

    return sorted(": ".join(piece) for piece in pieces_of(connection))


if __name__ == "__main__":
    import django

    django.setup()
    from django.db import connection

    json.dump(shape_of(connection), sys.stdout)
