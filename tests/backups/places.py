"""Empty places into which a backup is restored."""

import uuid
from contextlib import contextmanager
from urllib.parse import urlsplit

from tests import sites


@contextmanager
def empty_place(site, folder):
    """Give a house with nothing in it, on the same kind of database."""
    folder.mkdir()
    url = site.env.get("DATABASE_URL", "")
    if not url:
        yield sites.Site(folder, sites.environment(folder))
        return
    name = f"dock_restored_{uuid.uuid4().hex[:8]}"
    made = sites._create(url, name)
    assert urlsplit(made).path == f"/{name}"
    try:
        yield sites.Site(folder, sites.environment(folder, made))
    finally:
        sites._drop(url, name)
