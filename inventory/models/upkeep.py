"""How the commands of whoever runs the house last ended."""

from django.db import models


class UpkeepRun(models.Model):
    """One row a command: a backup, a check, a published root.

    Not sealed: it says how a machine is kept, and nothing about the trade.
    """

    task = models.CharField(max_length=20, unique=True)
    ended_at = models.DateTimeField()
    went_well = models.BooleanField()
    good_at = models.DateTimeField(null=True, blank=True)
    words = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["task"]

    def __str__(self) -> str:
        return self.task
