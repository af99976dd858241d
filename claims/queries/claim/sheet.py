"""The list of claims as a sheet: the open ones by next date, then the closed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from claims.models import Claim
from claims.queries.claim.listing import ClaimRow, money_on
from claims.rules.claim.life import LIFE
from claims.rules.claim.payments import Money
from inventory.rules.core.sheets import Column, Sheet, make_sheet


@dataclass(frozen=True)
class _Line:
    claim: Claim
    money: Money
    state: str
    next_step: str = ""
    next_on: date | None = None

    @property
    def is_closed(self) -> bool:
        """Return whether nothing more is asked of the carrier."""
        return self.claim.state in LIFE.final

    @property
    def draft_cents(self) -> int:
        """Return what is not claimed yet: the claim was not sent."""
        is_draft = self.claim.sent_on is None and not self.is_closed
        return self.money.claimed_cents if is_draft else 0

    @property
    def claimed_cents(self) -> int:
        """Return what was claimed: nothing while the claim was not sent."""
        return self.money.claimed_cents if self.claim.sent_on else 0

    @property
    def open_cents(self) -> int:
        """Return what is claimed and not received: nothing once the claim is closed."""
        is_open = self.claim.sent_on is not None and not self.is_closed
        return self.money.balance_cents if is_open else 0

    @property
    def unpaid_cents(self) -> int:
        """Return what a closed claim that was sent was never paid."""
        is_over = self.claim.sent_on is not None and self.is_closed
        return self.money.balance_cents if is_over else 0

    @property
    def over_cents(self) -> int:
        """Return what was received beyond the claim."""
        return max(self.money.paid_cents - self.money.claimed_cents, 0)


_COLUMNS: list[Column[_Line]] = [
    Column("Claim", "text", lambda row: row.claim.number),
    Column("State", "text", lambda row: row.state),
    Column("Carrier", "text", lambda row: row.claim.shipment.carrier.name),
    Column("PRO", "text", lambda row: row.claim.shipment.paper_number),
    Column("Location", "text", lambda row: row.claim.location.name),
    Column("Draft", "cents", lambda row: row.draft_cents, is_summed=True),
    Column("Claimed", "cents", lambda row: row.claimed_cents, is_summed=True),
    Column("Received", "cents", lambda row: row.money.paid_cents, is_summed=True),
    Column("Still open", "cents", lambda row: row.open_cents, is_summed=True),
    Column("Closed unpaid", "cents", lambda row: row.unpaid_cents, is_summed=True),
    Column("Overpaid", "cents", lambda row: row.over_cents, is_summed=True),
    Column("Closed on", "day", lambda row: row.claim.ended_on),
    Column("Currency", "text", lambda row: row.claim.currency),
    Column(
        "Opened", "text", lambda row: "elsewhere" if row.claim.opened_elsewhere else ""
    ),
    Column("Next step", "text", lambda row: row.next_step),
    Column("On", "day", lambda row: row.next_on),
]


def claim_sheet(live: Sequence[ClaimRow], closed: Iterable[Claim]) -> Sheet:
    """Return the claims as a sheet, summed for each currency."""
    lines = [
        *(
            _Line(row.claim, row.money, row.state_words, row.next_step, row.next_on)
            for row in live
        ),
        *(_Line(claim, money_on(claim), claim.get_state_display()) for claim in closed),
    ]
    return make_sheet(
        "Claims", _COLUMNS, lines, currency_of=lambda row: row.claim.currency
    )
