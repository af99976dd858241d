"""Empty places into which a backup is restored."""

import uuid
from contextlib import contextmanager
from urllib.parse import urlsplit

from tests import prepared, sites


@contextmanager
def empty_place(site, folder):
    """Give a house with nothing in it, on the same kind of database."""
    folder.mkdir()
    url = site.env.get("DATABASE_URL", "")
    if not url:
        yield sites.Site(folder, sites.environment(folder))
        return
    name = f"dock_restored_{uuid.uuid4().hex[:8]}"
    made = prepared.create_database(url, name)
    assert urlsplit(made).path == f"/{name}"
    try:
        yield sites.Site(folder, sites.environment(folder, made))
    finally:
        prepared.drop_database(url, name)
