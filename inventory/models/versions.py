"""The version column that lets a stale form be told from a fresh one."""

from django.db import models

from inventory.models.sealed import Sealed


class Versioned(Sealed):
    """A row that people edit: every change counts its version up by one."""

    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True
