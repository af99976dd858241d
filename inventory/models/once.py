"""What was saved once: the answer to a form, kept under the id that it came with."""

from django.conf import settings
from django.db import models

from inventory.models.people import Location


class Once(models.Model):
    """One answered sending of a form, so that sending it again saves nothing twice.

    ``client_id`` is made where the form is shown, or by a program that sends without
    one. It is unique to its person: what another person sent is never met, let alone
    revealed. The row is written before the act, in the act's own transaction, so
    that parallel sendings wait for one another at the unique pair; it is completed
    with the answer at the end of that transaction and can never be changed again (a
    trigger refuses it).

    It is not sealed: it says which answer a form was given, and nothing about the
    trade. The row it names is sealed, and so is the event of the act.
    """

    client_id = models.UUIDField()
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    location = models.ForeignKey(
        Location, models.PROTECT, null=True, blank=True, related_name="+"
    )
    act = models.CharField(max_length=60)
    digest = models.CharField(max_length=64)
    noun = models.CharField(max_length=60, blank=True)
    key = models.CharField(max_length=64, blank=True)
    label = models.CharField(max_length=200, blank=True)
    page = models.CharField(max_length=500, blank=True)
    message = models.TextField(blank=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "once"
        constraints = [
            models.UniqueConstraint(
                name="a_person_sends_an_id_once", fields=["person", "client_id"]
            )
        ]

    def __str__(self) -> str:
        return f"{self.act}: {self.label}"
