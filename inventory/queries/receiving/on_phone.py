"""What a phone may keep of a truck or a machine for one shift: no prices, no people."""

from inventory.models import Crate, Delivery, Unit
from inventory.rules.reckoning.counts import pieces_in_words


def lines_of_truck(delivery: Delivery) -> list[str]:
    """Return the counts of each freight bill, and the mark and machine of each crate."""
    lines = []
    crates: dict[int, list[Crate]] = {}
    rows = delivery.crates.prefetch_related("units").order_by("number")
    for crate in rows:
        crates.setdefault(crate.shipment_id, []).append(crate)
    for handover in delivery.handovers.select_related("shipment").order_by("pk"):
        bill = handover.shipment
        billed = pieces_in_words(bill.pieces_billed or 0, bill.piece_unit)
        counted = handover.pieces_counted
        count = "not counted" if counted is None else f"{counted} counted"
        lines.append(f"{bill}: {billed} billed, {count}")
        lines += [_crate(crate) for crate in crates.get(bill.pk, [])]
    return lines


def lines_of_machine(unit: Unit) -> list[str]:
    """Return the freight bill and the crate of a machine."""
    lines = [str(unit.shipment)]
    return [*lines, _crate(unit.crate)] if unit.crate else lines


def _crate(crate: Crate) -> str:
    machines = [str(unit) for unit in crate.units.all()]
    look = crate.get_look_display() if crate.look else "Not inspected"
    return ", ".join([f"Crate {crate.number} {crate.mark}".strip(), *machines, look])
