"""Reading the photos that wait, as the reader beside the server does."""

from inventory.actions.evidence.reading import read_photo, unread_photos
from tests.making import ARRIVED


def read_photos(at=ARRIVED):
    """Read every photo that waits."""
    for photo in unread_photos():
        read_photo(person=None, at=at, evidence=photo)


def seen(photo):
    """Read what waits, and return what was seen on this photo."""
    read_photos()
    return type(photo).everything.get(pk=photo.pk).seen
