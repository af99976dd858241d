"""The list of trucks as a sheet."""

from collections.abc import Iterable

from inventory.models import Delivery
from inventory.queries.core.joined import joined_number
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.core.vocabulary import HOW_SIGNED
from inventory.rules.reckoning.moments import dock_clock


def _clock(row: Delivery) -> str:
    return dock_clock(row.arrived_at, row.location.zone).time().isoformat("minutes")


def _counted(row: Delivery, name: str) -> int:
    return joined_number(row, name)


def _signed(row: Delivery) -> str:
    return HOW_SIGNED[row.how_signed] if row.how_signed else "Not signed"


_COLUMNS: list[Column[Delivery]] = [
    Column("Carrier", "text", lambda row: row.carrier.name),
    Column("Came on", "day", lambda row: row.arrived_on),
    Column("At", "text", _clock),
    Column("Location", "text", lambda row: row.location.name),
    Column("Driver", "text", lambda row: row.driver_name),
    Column("Trailer", "text", lambda row: row.trailer_number),
    Column("Freight bills", "count", lambda row: _counted(row, "bill_count")),
    Column("Crates", "count", lambda row: _counted(row, "crate_count")),
    Column("With exceptions", "count", lambda row: _counted(row, "noted_count")),
    Column("Receipt", "text", _signed),
]


def truck_sheet(rows: Iterable[Delivery]) -> Sheet:
    """Return the trucks as a sheet; ``rows`` come with their counts."""
    return make_sheet("Trucks", _COLUMNS, rows, currency_of=lambda _row: "")
