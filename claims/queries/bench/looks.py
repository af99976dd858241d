"""Earlier inspections at the bench, and the crate's condition by them."""

from claims.models import Inspection
from claims.rules.bench.seen import crate_condition_from_look
from inventory.models import Crate, Shipment, Unit


def last_look(
    *, shipment: Shipment, crate: Crate | None, unit: Unit | None, stage: str
) -> Inspection | None:
    """Return the last inspection of this machine, crate or count at this stage, or None."""
    rows = Inspection.objects.filter(shipment=shipment, stage=stage, unit=unit)
    if unit is None:
        rows = rows.filter(crate=crate)
    return rows.order_by("-looked_at", "-pk").first()


def condition_known(inspection: Inspection) -> str:
    """Return the crate's condition by this inspection, an earlier one, or delivery; or ""."""
    if inspection.crate_condition:
        return inspection.crate_condition
    crate = inspection.crate
    if crate is None:
        return "none" if inspection.unit_id is not None else ""
    return condition_of_crate(crate)


def condition_of_crate(crate: Crate) -> str:
    """Return the crate's condition as last recorded, at the bench or at delivery."""
    recorded = (
        Inspection.objects.filter(crate=crate)
        .exclude(crate_condition="")
        .order_by("-looked_at", "-pk")
        .values_list("crate_condition", flat=True)
        .first()
    )
    return recorded or crate_condition_from_look(crate.look)
