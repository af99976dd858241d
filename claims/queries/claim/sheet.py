"""The list of claims as a sheet: the open ones by next date, then the closed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from claims.models import Claim
from claims.queries.claim.listing import ClaimRow
from claims.queries.core.payments import claim_money
from claims.rules.claim.payments import Money
from inventory.rules.core.sheets import Column, Sheet, make_sheet


@dataclass(frozen=True)
class _Line:
    claim: Claim
    money: Money
    next_step: str = ""
    next_label: str = ""
    next_on: date | None = None


_COLUMNS: list[Column[_Line]] = [
    Column("Claim", "text", lambda row: row.claim.number),
    Column("State", "text", lambda row: row.claim.get_state_display()),
    Column("Carrier", "text", lambda row: row.claim.shipment.carrier.name),
    Column("PRO", "text", lambda row: row.claim.shipment.pro_number),
    Column("Location", "text", lambda row: row.claim.location.name),
    Column("Claimed", "cents", lambda row: row.money.claimed_cents, is_summed=True),
    Column("Paid", "cents", lambda row: row.money.paid_cents, is_summed=True),
    Column("Balance", "cents", lambda row: row.money.balance_cents, is_summed=True),
    Column("Currency", "text", lambda row: row.claim.currency),
    Column("Next step", "text", lambda row: row.next_step),
    Column("Next date", "text", lambda row: row.next_label),
    Column("On", "day", lambda row: row.next_on),
]


def claim_sheet(live: Sequence[ClaimRow], closed: Iterable[Claim]) -> Sheet:
    """Return the claims as a sheet, summed for each currency."""
    lines = [
        *(
            _Line(row.claim, row.money, row.next_step, row.next_label, row.next_on)
            for row in live
        ),
        *(_Line(claim, claim_money(claim)) for claim in closed),
    ]
    return make_sheet(
        "Claims", _COLUMNS, lines, currency_of=lambda row: row.claim.currency
    )
