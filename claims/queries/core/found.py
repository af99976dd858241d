"""A finding in the words of papers that go out: what it is, and where it was."""

from claims.models import Finding
from inventory.rules.reckoning.counts import pieces_in_words

_INSIDE = ("uncrating", "set-up")


def title_words(row: Finding) -> str:
    """Return what it is on and what is wrong: "Deck shell, bent"."""
    part = row.part[:1].upper() + row.part[1:]
    return f"{part or _on(row)}, {row.get_damage_kind_display()}"


def _on(row: Finding) -> str:
    """Return the machine, the crate, or how many pieces of the bill."""
    if row.unit or row.crate_id:
        return str(row.unit) if row.unit else "Crate"
    unit = row.shipment.piece_unit
    return pieces_in_words(row.pieces, unit) if row.pieces else "Shipment"


def is_inside(row: Finding) -> bool:
    """Return whether this was inside a closed crate when the truck was here."""
    in_crate = bool(row.crate_id or (row.unit and row.unit.crate_id))
    crated = row.inspection.crate_condition != "none"
    on_machine = row.unit_id is not None
    return in_crate and crated and on_machine and row.inspection.stage in _INSIDE
