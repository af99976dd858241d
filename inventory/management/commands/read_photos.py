"""Read the photos of earlier versions, and seal the copies that are printed."""

import sys
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from inventory.actions.evidence.reading import read_photo, unread_photos


class Command(BaseCommand):
    """Read the photos that have no reading yet, one transaction each."""

    help = (
        "Read the photos that earlier versions saved, and seal the copies of them that "
        "documents print. Names each photo whose original is missing or changed, and "
        "then exits with 1. Broken off, it goes on where it stopped."
    )

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Read them one by one, and print how many."""
        read = without = lost = 0
        keys = list(unread_photos().values_list("pk", flat=True))
        for start in range(0, len(keys), 100):
            photos = unread_photos().filter(pk__in=keys[start : start + 100])
            for photo in photos.select_related("original", "location"):
                row = read_photo(person=None, at=timezone.now(), evidence=photo)
                if row is None:
                    lost += 1
                    self.stdout.write(
                        f"Photo {photo.pk}: original {photo.original_id} is missing "
                        "or changed."
                    )
                    continue
                read += 1
                without += not row.large_sha256
        self.stdout.write(
            f"Read: {read}, of them without a copy: {without}. Missing or changed: "
            f"{lost}."
        )
        if lost:
            sys.exit(1)
