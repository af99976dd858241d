"""Completing a freight bill's paperwork, with the deadlines and counts that follow."""

from datetime import datetime

from django.db import transaction

from claims.actions.core.deadlines import count_deadlines
from claims.actions.receiving.shortages import settle_shortage
from inventory.actions.receiving.shipments import change_shipment
from inventory.models import Shipment, User


def fill_papers(
    *, person: User, at: datetime, shipment: Shipment, version: int, **papers: object
) -> list[str]:
    """Change the paperwork; count shortage and deadlines again. Return what changed.

    Raise StaleRowError and RefusedError.
    """
    with transaction.atomic():
        changed = change_shipment(
            person=person, at=at, shipment=shipment, version=version, **papers
        )
        row = Shipment.objects.select_related("location", "carrier", "supplier").get(
            pk=shipment.pk
        )
        settle_shortage(shipment=row, at=at, person=person)
        count_deadlines(shipment=row, at=at, person=person)
    return changed
