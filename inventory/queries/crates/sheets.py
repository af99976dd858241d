"""The list of crates as a sheet."""

from collections.abc import Collection, Container, Iterable

from inventory.models import Supplier
from inventory.queries.crates.yard import CrateRow
from inventory.rules.core.sheets import Column, Sheet, make_sheet


def _supplier(row: CrateRow) -> str:
    found: Supplier | None = row.crate.shipment.supplier
    return found.name if found else ""


def _deposit(row: CrateRow) -> int | None:
    return row.days.deposit.amount_cents if row.days.deposit else None


_CRATE: list[Column[CrateRow]] = [
    Column("Crate", "text", lambda row: row.crate.mark or str(row.crate)),
    Column("GRAI", "text", lambda row: row.crate.grai),
    Column("Type", "text", lambda row: str(row.crate.crate_type or "")),
    Column("PRO", "text", lambda row: row.crate.shipment.pro_number),
    Column("Supplier", "text", _supplier),
    Column("Location", "text", lambda row: row.crate.shipment.location.name),
    Column("State", "text", lambda row: row.crate.get_state_display()),
    Column("On hold", "text", lambda row: "yes" if row.is_held else ""),
    Column("Last day for full credit", "day", lambda row: row.days.last_full_on),
    Column("Days left", "count", lambda row: row.days.days_left),
    Column("Next", "text", lambda row: row.next_words),
]


def _crate_money(money: Container[int]) -> list[Column[CrateRow]]:
    def seen(row: CrateRow, cents: int | None) -> int | None:
        return cents if row.crate.shipment.location_id in money else None

    return [
        Column(
            "Deposit", "cents", lambda row: seen(row, _deposit(row)), is_summed=True
        ),
        Column(
            "Credit if returned today",
            "cents",
            lambda row: seen(row, row.days.credit_cents),
            is_summed=True,
        ),
        Column("Currency", "text", lambda row: row.days.currency),
    ]


def crate_sheet(rows: Iterable[CrateRow], *, money: Collection[int]) -> Sheet:
    """Return the crates as a sheet.

    ``money`` are the keys of the locations whose amounts this person may see.
    """
    columns = [*_CRATE, *_crate_money(money)] if money else _CRATE
    return make_sheet(
        "Crates", columns, rows, currency_of=lambda row: row.days.currency
    )
