"""The next number of a finding on its freight bill."""

from django.db.models import Max

from claims.models import Finding
from inventory.models import Shipment


def next_number(shipment: Shipment) -> int:
    """Return the next finding's number; the caller has locked the freight bill."""
    rows = Finding.objects.filter(shipment=shipment)
    return int(rows.aggregate(last=Max("number"))["last"] or 0) + 1
