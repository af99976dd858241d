"""The facts of the exceptions for one truck's receipts."""

from collections import defaultdict
from dataclasses import dataclass

from claims.models import Finding
from claims.rules.receiving.receipt_words import (
    CrateLook,
    Damage,
    ReceiptFacts,
    ReceiptWords,
    compose_words,
    is_plain,
)
from inventory.models import Crate, Delivery, Handover
from inventory.rules.reckoning.counts import Count, TruckCount, compare_count


@dataclass(frozen=True)
class BillAtTailgate:
    """One freight bill on one truck: its rows, its count and its exceptions."""

    handover: Handover
    crates: list[Crate]
    facts: ReceiptFacts
    words: ReceiptWords
    count: Count

    @property
    def unseen(self) -> int:
        """Return how many of its crates are not inspected."""
        return sum(1 for crate in self.crates if not crate.look)


def bills_at_tailgate(delivery: Delivery, *, ending: str = "") -> list[BillAtTailgate]:
    """Return every bill of this truck with its current exceptions.

    ``ending`` is how the receipt is being signed. Five queries whatever the load.
    """
    handovers = list(
        delivery.handovers.select_related(
            "shipment__supplier", "shipment__carrier", "shipment__location"
        ).order_by("pk")
    )
    ids = [row.shipment_id for row in handovers]
    crates = defaultdict(list)
    rows = Crate.objects.filter(delivery=delivery).select_related("shipment")
    for crate in rows.order_by("shipment_id", "number"):
        crates[crate.shipment_id].append(crate)
    damages = _damages(delivery)
    trucks = _trucks(ids)
    totals = _totals(ids)
    bills = []
    for handover in handovers:
        looks = tuple(
            CrateLook(
                number=crate.number,
                mark=crate.mark,
                look=crate.look,
                damages=tuple(damages.get(crate.pk, ())),
                refused_for=crate.refused_for,
            )
            for crate in crates[handover.shipment_id]
        )
        facts = _facts(
            handover,
            delivery,
            looks=looks,
            trucks=trucks[handover.shipment_id],
            crates_on_bill=totals.get(handover.shipment_id, 0),
            ending=ending or delivery.how_signed,
        )
        bills.append(
            BillAtTailgate(
                handover=handover,
                crates=crates[handover.shipment_id],
                facts=facts,
                words=compose_words(facts),
                count=_count(handover, trucks[handover.shipment_id]),
            )
        )
    return bills


def _facts(
    handover: Handover,
    delivery: Delivery,
    *,
    looks: tuple[CrateLook, ...],
    trucks: list[Handover],
    crates_on_bill: int,
    ending: str,
) -> ReceiptFacts:
    shipment = handover.shipment
    earlier = [row for row in trucks if _order(row) < _order(handover)]
    return ReceiptFacts(
        pro=shipment.pro_number,
        unit=shipment.piece_unit,
        billed=shipment.pieces_billed,
        counted=handover.pieces_counted,
        earlier=sum(row.pieces_counted or 0 for row in earlier),
        rest_to_follow=handover.rest_to_follow,
        crates_on_bill=crates_on_bill,
        crates=looks,
        seal_number=delivery.seal_number,
        seal_note=delivery.seal_note,
        ending=ending,
    )


def _order(handover: Handover) -> tuple[object, int]:
    return handover.delivery.arrived_at, handover.pk


def _count(handover: Handover, trucks: list[Handover]) -> Count:
    return compare_count(
        billed=handover.shipment.pieces_billed,
        unit=handover.shipment.piece_unit,
        trucks=[TruckCount(row.pieces_counted, row.rest_to_follow) for row in trucks],
    )


def _trucks(shipment_ids: list[int]) -> dict[int, list[Handover]]:
    """Return every truck of each bill, earliest first."""
    found: dict[int, list[Handover]] = defaultdict(list)
    rows = Handover.objects.filter(shipment__in=shipment_ids).select_related("delivery")
    for row in rows.order_by("delivery__arrived_at", "pk"):
        found[row.shipment_id].append(row)
    return found


def _totals(shipment_ids: list[int]) -> dict[int, int]:
    totals: dict[int, int] = defaultdict(int)
    rows = Crate.objects.filter(shipment__in=shipment_ids)
    for shipment_id in rows.values_list("shipment_id", flat=True):
        totals[shipment_id] += 1
    return totals


def _damages(delivery: Delivery) -> dict[int, list[Damage]]:
    """Return the exceptions on each crate of the truck, as found."""
    found: dict[int, list[Damage]] = defaultdict(list)
    rows = Finding.objects.filter(
        delivery=delivery, inspection__stage="tailgate", crate__isnull=False
    ).exclude(route="nowhere")
    for row in rows.order_by("crate_id", "number"):
        if row.crate_id is not None:
            found[row.crate_id].append(damage_of(row))
    return found


def damage_of(finding: Finding) -> Damage:
    """Return a delivery finding for the exceptions; its own default is no note."""
    faces = tuple(face for face in finding.faces.split(",") if face)
    bare = Damage(finding.damage_kind, finding.severity, faces)
    return Damage(bare.kind, bare.severity, faces, _note(finding, bare))


def _note(finding: Finding, bare: Damage) -> str:
    return "" if is_plain(finding.facts, bare) else finding.facts
