"""The lists of crates and of their returns as sheets."""

from collections.abc import Collection, Container, Iterable

from inventory.models import CrateReturn, Supplier
from inventory.queries.crates.yard import CrateRow
from inventory.queries.returns.listing import counts_on
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
_RETURN: list[Column[CrateReturn]] = [
    Column("Return", "text", lambda row: row.number),
    Column("State", "text", lambda row: row.get_state_display()),
    Column("Supplier", "text", lambda row: row.supplier.name),
    Column("Location", "text", lambda row: row.location.name),
    Column("Carrier", "text", lambda row: row.carrier.name if row.carrier else ""),
    Column("Left on", "day", lambda row: row.picked_up_on),
    Column("Received on", "day", lambda row: row.received_back_on),
    Column("Memo due on", "day", lambda row: row.memo_due_on),
    Column("Crates", "count", lambda row: counts_on(row).crates),
    Column("Driver counted", "count", lambda row: row.driver_count),
]


def _crate_money(money: Container[int]) -> list[Column[CrateRow]]:
    def seen(row: CrateRow, cents: int | None) -> int | None:
        return cents if row.crate.shipment.location_id in money else None

    return [
        Column(
            "Deposit", "cents", lambda row: seen(row, _deposit(row)), is_summed=True
        ),
        Column(
            "If it leaves today",
            "cents",
            lambda row: seen(row, row.days.credit_cents),
            is_summed=True,
        ),
        Column("Currency", "text", lambda row: row.days.currency),
    ]


def _return_money(money: Container[int]) -> list[Column[CrateReturn]]:
    def seen(row: CrateReturn) -> int | None:
        return counts_on(row).expected_cents if row.location_id in money else None

    return [
        Column("Credit expected", "cents", seen, is_summed=True),
        Column("Currency", "text", lambda row: row.currency),
    ]


def crate_sheet(rows: Iterable[CrateRow], *, money: Collection[int]) -> Sheet:
    """Return the crates as a sheet.

    ``money`` are the keys of the locations whose amounts this person may see.
    """
    columns = [*_CRATE, *_crate_money(money)] if money else _CRATE
    return make_sheet(
        "Crates", columns, rows, currency_of=lambda row: row.days.currency
    )


def return_sheet(rows: Iterable[CrateReturn], *, money: Collection[int]) -> Sheet:
    """Return the returns as a sheet; ``rows`` come with their counts.

    ``money`` are the keys of the locations whose amounts this person may see.
    """
    columns = [*_RETURN, *_return_money(money)] if money else _RETURN
    return make_sheet("Returns", columns, rows, currency_of=lambda row: row.currency)
