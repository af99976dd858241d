"""Receipts whose POD is overdue or lacks our exceptions, with the protest."""

from dataclasses import dataclass
from datetime import datetime

from claims.models import Notice
from inventory.models import Handover, User
from inventory.queries.receiving.dock import MOST_SHOWN, images_to_ask_for


@dataclass(frozen=True)
class ImageCase:
    """One receipt to follow up. ``state`` is late or running, ``words`` is the reason."""

    handover: Handover
    state: str
    words: str
    needs_protest: bool
    notice_id: int | None


def image_cases(person: User, at: datetime) -> list[ImageCase]:
    """Return the cases, those that lack our exceptions first. Two queries.

    A protest whose delivery is proven ends the case.
    """
    handovers = list(images_to_ask_for(person, at)[:MOST_SHOWN])
    protests = {
        (row.shipment_id, row.delivery_id): row
        for row in Notice.objects.filter(
            kind="protest", shipment__in=[row.shipment_id for row in handovers]
        ).order_by("written_at", "pk")
    }
    cases = []
    for handover in handovers:
        case = _case(
            handover, protests.get((handover.shipment_id, handover.delivery_id))
        )
        if case is not None:
            cases.append(case)
    return cases


def _case(handover: Handover, protest: Notice | None) -> ImageCase | None:
    if handover.carrier_image == "awaited":
        return ImageCase(
            handover,
            "running",
            "Ask the carrier for its POD",
            needs_protest=False,
            notice_id=None,
        )
    if protest is None:
        return ImageCase(
            handover,
            "late",
            "Exceptions missing from the POD",
            needs_protest=True,
            notice_id=None,
        )
    if protest.state in protest.life.final:
        return None
    words = f"Protest: {protest.life.words(protest.state).lower()}"
    return ImageCase(handover, "late", words, needs_protest=False, notice_id=protest.pk)
