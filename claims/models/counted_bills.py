"""Until when the deadlines of a freight bill stay as they were counted."""

from django.db import models

from inventory.models import Shipment


class CountedBill(models.Model):
    """Until when a count of this bill finds nothing new. Not sealed: derived, verified.

    ``rules`` names the rules that counted it, and is empty where it must be counted: a
    trigger empties it and raises ``changes`` in the act that writes any fact of the count
    (``claims/counted_bills.py``). ``counted_for`` and ``until`` are the first and the last
    day at the dock for which the result holds.
    """

    shipment = models.OneToOneField(
        Shipment, models.CASCADE, primary_key=True, related_name="+"
    )
    rules = models.CharField(max_length=16, blank=True, default="")
    counted_for = models.DateField(null=True)
    until = models.DateField(null=True)
    changes = models.PositiveBigIntegerField(default=0)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"Deadlines of {self.shipment_id} until {self.until}"
