"""Later finds of a claim, sent to the carrier separately."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.models.claims import Claim
from claims.rules.core import vocabulary as words
from inventory.models import Carrier, Evidence
from inventory.models.versions import Versioned


class Supplement(Versioned):
    """One numbered supplement. Its lines are those with its number.

    A supplement made after the claim was sent must reach the carrier itself; one
    made before goes out with the claim and takes the claim's own dates.
    """

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="supplement_rows")
    number = models.PositiveSmallIntegerField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
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
    receipt_proof = models.ForeignKey(
        Evidence, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["claim_id", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["claim", "number"], name="supplement_number_once"
            ),
            models.CheckConstraint(
                name="supplement_sent_before_received",
                condition=Q(received_on=None)
                | Q(sent_on__isnull=False, received_on__gte=models.F("sent_on")),
            ),
        ]

    def __str__(self) -> str:
        return f"Supplement {self.number} to {self.claim}"
