"""A finding in the words of papers that go out: what it is, and where it was."""

from claims.models import Finding

_INSIDE = ("uncrating", "set-up")


def title_words(row: Finding) -> str:
    """Return what it is on and what is wrong: "Deck shell, bent"."""
    on = str(row.unit) if row.unit else "Crate" if row.crate_id else "Shipment"
    part = row.part[:1].upper() + row.part[1:]
    return f"{part or on}, {row.get_damage_kind_display()}"


def is_inside(row: Finding) -> bool:
    """Return whether this was inside a closed crate when the truck was here."""
    in_crate = bool(row.crate_id or (row.unit and row.unit.crate_id))
    crated = row.inspection.crate_condition != "none"
    on_machine = row.unit_id is not None
    return in_crate and crated and on_machine and row.inspection.stage in _INSIDE
