"""The list of returns as a sheet."""

from collections.abc import Collection, Container, Iterable

from inventory.models import CrateReturn
from inventory.queries.returns.listing import counts_on
from inventory.rules.core.sheets import Column, Sheet, make_sheet

_RETURN: list[Column[CrateReturn]] = [
    Column("Return", "text", lambda row: row.number),
    Column("State", "text", lambda row: row.get_state_display()),
    Column("Supplier", "text", lambda row: row.supplier.name),
    Column("Location", "text", lambda row: row.location.name),
    Column("Carrier", "text", lambda row: row.carrier.name if row.carrier else ""),
    Column("Shipped on", "day", lambda row: row.picked_up_on),
    Column("Received on", "day", lambda row: row.received_back_on),
    Column("Memo due on", "day", lambda row: row.memo_due_on),
    Column("Crates", "count", lambda row: counts_on(row).crates),
    Column("Driver counted", "count", lambda row: row.driver_count),
]


def _return_money(money: Container[int]) -> list[Column[CrateReturn]]:
    def expected(row: CrateReturn) -> int | None:
        return counts_on(row).expected_cents if row.location_id in money else None

    def disputed(row: CrateReturn) -> int | None:
        return counts_on(row).disputed_cents if row.location_id in money else None

    return [
        Column("Still expected", "cents", expected, is_summed=True),
        Column("Disputed", "cents", disputed, is_summed=True),
        Column("Currency", "text", lambda row: row.currency),
    ]


def return_sheet(rows: Iterable[CrateReturn], *, money: Collection[int]) -> Sheet:
    """Return the returns as a sheet; ``rows`` come with their counts.

    ``money`` are the keys of the locations whose amounts this person may see.
    """
    columns = [*_RETURN, *_return_money(money)] if money else _RETURN
    return make_sheet("Returns", columns, rows, currency_of=lambda row: row.currency)
