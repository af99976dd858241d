"""The list of remittances, and what became of one."""

from collections.abc import Iterable
from dataclasses import dataclass

from claims.models import ClaimPayment, Remittance
from claims.queries.core.payments import payment_facts
from claims.queries.core.remittances import joined_remittances, parts_of, rest_of
from claims.rules.claim.payments import COUNTED, HELD, REVERSED, STATE_WORDS, Payment
from inventory.models import Evidence, Location
from inventory.rules.core.sheets import Column, Sheet, make_sheet

DECIDE = "Marked as full payment: decide"
REST = "A part is owed to the payer"
MATCHED = "Put against claims"


@dataclass(frozen=True)
class PartRow:
    """One part: the payment of its claim, with what the rules say of it."""

    row: ClaimPayment
    facts: Payment

    @property
    def words(self) -> str:
        """Return the state in words."""
        return STATE_WORDS[self.facts.state]


@dataclass(frozen=True)
class RemittanceRow:
    """One remittance with its parts, in cents; one that was reversed holds nothing."""

    row: Remittance
    parts: tuple[PartRow, ...]
    rest_cents: int

    def _sum(self, state: str) -> int:
        return sum(one.facts.cents for one in self.parts if one.facts.state == state)

    @property
    def matched_cents(self) -> int:
        """Return what counts on claims."""
        return self._sum(COUNTED)

    @property
    def held_cents(self) -> int:
        """Return what waits for a decision."""
        return self._sum(HELD)

    @property
    def received_cents(self) -> int:
        """Return what is with us of it: nothing once it went back."""
        return self.matched_cents + self.held_cents + self.rest_cents

    @property
    def state(self) -> tuple[str, str]:
        """Return the tone and the words of its state."""
        if self.row.reversed_on is not None:
            return "plain", STATE_WORDS[REVERSED]
        if self.held_cents:
            return "late", DECIDE
        if self.rest_cents:
            return "running", REST
        if self.matched_cents:
            return "kept", MATCHED
        return "plain", self.parts[0].words


def remittance_row(row: Remittance) -> RemittanceRow:
    """Return one remittance of ``joined_remittances`` with its figures."""
    parts = tuple(PartRow(one, payment_facts(one)) for one in parts_of(row))
    return RemittanceRow(row, parts, rest_of(row))


def remittance_rows(locations: Iterable[Location]) -> list[RemittanceRow]:
    """Return the remittances of these locations, the newest first."""
    rows = (
        joined_remittances()
        .filter(location__in=locations)
        .order_by("-received_on", "-pk")
    )
    return [remittance_row(row) for row in rows]


def files_of(row: Remittance) -> list[Evidence]:
    """Return the files that came with it, each once."""
    found = Evidence.objects.filter(claim_steps__payment__remittance=row)
    return list(found.select_related("recorded_by").order_by("pk").distinct())


_COLUMNS: list[Column[RemittanceRow]] = [
    Column("Remittance", "text", lambda one: one.row.number),
    Column("Paid by", "text", lambda one: str(one.row.payer)),
    Column("Location", "text", lambda one: one.row.location.name),
    Column("Received on", "day", lambda one: one.row.received_on),
    Column("How", "text", lambda one: one.row.get_method_display()),
    Column("Reference", "text", lambda one: one.row.reference),
    Column("State", "text", lambda one: one.state[1]),
    Column("Received", "cents", lambda one: one.received_cents, is_summed=True),
    Column(MATCHED, "cents", lambda one: one.matched_cents, is_summed=True),
    Column("Not counted", "cents", lambda one: one.held_cents, is_summed=True),
    Column("Owed to the payer", "cents", lambda one: one.rest_cents, is_summed=True),
    Column("Currency", "text", lambda one: one.row.currency),
]


def remittances_sheet(rows: Iterable[RemittanceRow]) -> Sheet:
    """Return the remittances as a sheet, summed for each currency."""
    return make_sheet(
        "Remittances", _COLUMNS, rows, currency_of=lambda one: one.row.currency
    )
