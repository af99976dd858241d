"""The facts of the exceptions for one truck's receipts."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import sha256

from claims.models import Finding
from claims.rules.receiving.receipt_counts import PieceCount, noted_counts
from claims.rules.receiving.receipt_lines import Ending
from claims.rules.receiving.receipt_text import (
    ReceiptFacts,
    ReceiptWords,
    compose_words,
)
from claims.rules.receiving.receipt_words import CrateLook, Damage, is_plain
from inventory.models import Crate, Delivery, Handover
from inventory.rules.reckoning.counts import (
    Count,
    TruckCount,
    compare_count,
)
from inventory.rules.reckoning.moments import dock_hour


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

    @property
    def head(self) -> str:
        """Return its count on this truck: "4 billed, 2 earlier, 2 counted"."""
        return self.facts.count.head

    @property
    def noted(self) -> str:
        """Return what is to be written: "2 exceptions, 1 refused", or none."""
        said = [
            *noted_counts([crate.look for crate in self.crates]),
            self.count.state if self.count.is_wrong else "",
            f"{self.unseen} not inspected" if self.unseen else "",
        ]
        return ", ".join(words for words in said if words) or "None to write"

    @property
    def digest(self) -> str:
        """Return a short digest of the text, to see whether it is still the same."""
        return sha256(self.words.full.encode()).hexdigest()[:16]

    def ending(self, how: str, *, witness: str = "", reason: str = "") -> ReceiptWords:
        """Return the exceptions as the receipt ends; ``reason`` says why not inspected."""
        facts = replace(
            self.facts,
            unseen_reason=reason or self.facts.unseen_reason,
            ending=replace(self.facts.ending, how=how, witness=witness),
        )
        return compose_words(facts)


@dataclass(frozen=True)
class _Crates:
    """The crates of some bills over all their trucks: how many, how many refused."""

    in_all: Mapping[int, int]
    refused: Mapping[tuple[int, int | None], int]


def bills_at_tailgate(delivery: Delivery) -> list[BillAtTailgate]:
    """Return every bill of this truck with its current exceptions.

    Five queries whatever the load.
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
    counted = _count_crates(ids)
    bills = []
    for handover in handovers:
        handover.delivery = delivery
        looks = tuple(
            CrateLook(
                number=crate.number,
                mark=crate.mark,
                look=crate.look,
                damages=tuple(damages.get(crate.pk, ())),
                refused_for=crate.refused_for,
                is_over=crate.is_over,
            )
            for crate in crates[handover.shipment_id]
        )
        of_bill = trucks[handover.shipment_id]
        facts = _facts(handover, looks=looks, trucks=of_bill, crates=counted)
        bills.append(
            BillAtTailgate(
                handover=handover,
                crates=crates[handover.shipment_id],
                facts=facts,
                words=compose_words(facts),
                count=_count(handover, of_bill),
            )
        )
    return bills


def _facts(
    handover: Handover,
    *,
    looks: tuple[CrateLook, ...],
    trucks: list[Handover],
    crates: _Crates,
) -> ReceiptFacts:
    shipment, delivery = handover.shipment, handover.delivery
    earlier = [row for row in trucks if _order(row) < _order(handover)]
    return ReceiptFacts(
        pro=shipment.pro_number,
        unit=shipment.piece_unit,
        billed=shipment.pieces_billed,
        tendered=handover.pieces_counted,
        earlier=_sum([row.pieces_counted for row in earlier]),
        earlier_refused=sum(
            crates.refused[shipment.pk, row.delivery_id] for row in earlier
        ),
        rest_to_follow=handover.rest_to_follow,
        handling=_handling(handover, earlier, looks),
        crates_on_bill=crates.in_all[shipment.pk],
        crates=looks,
        unseen_reason=handover.unseen_reason,
        on_trailer=delivery.damaged_on_trailer,
        shippers_count=delivery.shippers_count,
        seal_number=delivery.seal_number,
        seal_condition=delivery.seal_condition,
        seal_note=delivery.seal_note,
        ending=_ending(handover),
    )


def _ending(handover: Handover) -> Ending:
    delivery = handover.delivery
    left = delivery.departed_at
    zone = handover.shipment.location.zone
    return Ending(
        how=handover.ending,
        witness=handover.witness_name,
        left_at=dock_hour(left, zone) if left else "",
    )


def _handling(
    handover: Handover, earlier: list[Handover], looks: tuple[CrateLook, ...]
) -> PieceCount:
    """Return the handling units; how many of them were received, a refusal hides."""
    has_refused = any(crate.look == "refused" for crate in looks)
    return PieceCount(
        unit=handover.shipment.handling_unit,
        billed=handover.shipment.handling_billed,
        tendered=handover.handling_counted,
        refused=None if has_refused else 0,
        earlier=_sum([row.handling_counted for row in earlier]),
        rest_to_follow=handover.rest_to_follow,
    )


def _sum(counts: list[int | None]) -> int | None:
    """Return the sum; None where a truck was not counted."""
    known = [number for number in counts if number is not None]
    return sum(known) if len(known) == len(counts) else None


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


def _count_crates(shipment_ids: list[int]) -> _Crates:
    totals: dict[int, int] = defaultdict(int)
    refused: dict[tuple[int, int | None], int] = defaultdict(int)
    rows = Crate.objects.filter(shipment__in=shipment_ids)
    for shipment_id, delivery_id, look in rows.values_list(
        "shipment_id", "delivery_id", "look"
    ):
        totals[shipment_id] += 1
        refused[shipment_id, delivery_id] += look == "refused"
    return _Crates(totals, refused)


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
