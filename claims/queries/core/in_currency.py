"""What of this floor was entered in the currency of a freight bill."""

from collections.abc import Iterable

from django.db.models import Model, Q

from claims.models import Claim, Finding
from inventory.models import Shipment


def objections_for_bills(rows: Iterable[Model]) -> list[str]:
    """Return why the currency of these freight bills cannot be changed now."""
    keys = [row.pk for row in rows if isinstance(row, Shipment)]
    priced = Q(rate_cents__isnull=False) | Q(parts__price_cents__isnull=False)
    reasons = []
    if Finding.objects.filter(priced, shipment__in=keys).exists():
        reasons.append("a finding has its prices")
    if Claim.objects.filter(shipment__in=keys).exists():
        reasons.append("a claim has its amounts")
    return reasons
