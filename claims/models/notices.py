"""Notices that stop a deadline: written, sent, and proof of delivery."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.rules.core import vocabulary as words
from claims.rules.letters import life as notice_life
from inventory.models import Carrier, Delivery, Evidence, Shipment
from inventory.models.versions import Versioned


class Notice(Versioned):
    """A notice to carrier or supplier. Done only once its delivery is proven."""

    life = notice_life.LIFE

    shipment = models.ForeignKey(Shipment, models.PROTECT, related_name="notices")
    delivery = models.ForeignKey(
        Delivery, models.PROTECT, null=True, blank=True, related_name="notices"
    )
    kind = models.CharField(max_length=12, choices=tuple(words.NOTICE_KINDS.items()))
    addressee = models.CharField(max_length=100)
    text = models.TextField(max_length=8000)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    sent_on = models.DateField(null=True, blank=True)
    addressed_to = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    sent_how = models.CharField(
        max_length=8, choices=tuple(words.SENT_HOW.items()), blank=True
    )
    tracking = models.CharField(max_length=40, blank=True, default="")
    received_on = models.DateField(null=True, blank=True)
    receipt_words = models.CharField(max_length=200, blank=True)
    proof = models.ForeignKey(
        Evidence, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["written_at", "pk"]
        constraints = [
            models.CheckConstraint(
                name="notice_sent_before_received",
                condition=Q(received_on=None)
                | Q(sent_on__isnull=False, received_on__gte=models.F("sent_on")),
            )
        ]

    @property
    def state(self) -> str:
        """Return the state of the notice, read from its days."""
        return notice_life.state_of(self.sent_on, self.received_on)

    def __str__(self) -> str:
        return f"{self.get_kind_display()} to {self.addressee}"
