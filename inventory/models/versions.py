"""The version column that shows whether a form is stale."""

from django.db import models

from inventory.models.sealed import Sealed


class Versioned(Sealed):
    """A row that people edit: every change increments its version."""

    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True
