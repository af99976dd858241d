"""A month of claims laid out for its page and its files."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from claims.queries.books.rollforward import CurrencyBooks, OpenClaim, PartnerRoll
from claims.rules.books.rollforward import (
    AGE_LABELS,
    LINES,
    Bar,
    Roll,
    bars_of,
    sum_of,
)
from inventory.rules.core.sheets import Column, Sheet, make_sheet

MOST_COLUMNS = 4
BAR_WIDTH = 1_000
SIGNS = {
    "filed": "+",
    "brought-in": "+",
    "supplements": "+",
    "reversals": "\N{PLUS-MINUS SIGN}",
}
MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True)
class MonthColumn:
    """One carrier's column; ``partner`` names it in an address, "" for the others."""

    name: str
    partner: str
    roll: Roll
    listed_cents: int
    beside_cents: int
    allowance_cents: int

    @property
    def difference(self) -> int:
        """Return list less ledger: 0 where they tie."""
        return self.listed_cents - self.roll.closing

    @property
    def shown_cents(self) -> int:
        """Return what the balance sheet shows: booked, less the allowance."""
        return self.roll.closing - self.beside_cents + self.allowance_cents


@dataclass(frozen=True)
class MonthRow:
    """One line of the roll-forward: a figure a column, the total, and its bar."""

    key: str
    label: str
    cells: tuple[tuple[str, str, int], ...]
    total: int
    bar: Bar

    @property
    def is_empty(self) -> bool:
        """Return whether nothing of this kind happened in any column."""
        return not any(cents for _, _, cents in self.cells)


@dataclass(frozen=True)
class AgedPartner:
    """The open claims of one carrier by age, in cents; what is declined stands apart."""

    name: str
    ages: tuple[tuple[str, int], ...]
    disputed: int
    total: int


@dataclass(frozen=True)
class Month:
    """The page's part of one currency."""

    books: CurrencyBooks
    columns: tuple[MonthColumn, ...]
    rows: tuple[MonthRow, ...]
    opening_bar: Bar
    closing_bar: Bar
    aged: tuple[AgedPartner, ...]
    aged_total: AgedPartner


def month_of(books: CurrencyBooks) -> Month:
    """Lay out the books of one currency: the largest columns, the others as one."""
    columns = _columns(books)
    opening, *bars, closing = bars_of(books.total, BAR_WIDTH)
    rows = [
        MonthRow(
            key=key,
            label=f"{SIGNS.get(key, MINUS)} {label}",
            cells=tuple(
                (one.name, one.partner, one.roll.lines[key]) for one in columns
            ),
            total=books.total.lines[key],
            bar=bar,
        )
        for (key, label), bar in zip(LINES.items(), bars, strict=True)
        if key != "brought-in" or books.total.lines[key]
    ]
    by_partner: dict[tuple[str, str], list[OpenClaim]] = {}
    for one in books.claims:
        key = (str(one.claim.booking.partner), _key_of(one))
        by_partner.setdefault(key, []).append(one)
    return Month(
        books=books,
        columns=columns,
        rows=tuple(rows),
        opening_bar=opening,
        closing_bar=closing,
        aged=tuple(_aged(key[0], by_partner[key]) for key in sorted(by_partner)),
        aged_total=_aged("Total", books.claims),
    )


def _columns(books: CurrencyBooks) -> tuple[MonthColumn, ...]:
    partners = books.partners
    listed: Counter[str] = Counter()
    for claim in books.claims:
        listed[_key_of(claim)] += claim.listed_cents
    largest = sorted(partners, key=lambda one: -abs(one.roll.closing))
    shown = largest if len(largest) <= MOST_COLUMNS else largest[: MOST_COLUMNS - 1]
    rest = largest[len(shown) :]
    columns = [
        _column(one.name, partner_key(one), [one], listed)
        for one in partners
        if one in shown
    ]
    if rest:
        columns.append(_column(f"{len(rest)} others", "", rest, listed))
    return tuple(columns)


def _column(
    name: str, partner: str, own: Sequence[PartnerRoll], listed: Mapping[str, int]
) -> MonthColumn:
    return MonthColumn(
        name=name,
        partner=partner,
        roll=sum_of(one.roll for one in own),
        listed_cents=sum(listed.get(partner_key(one), 0) for one in own),
        beside_cents=sum(one.beside_cents for one in own),
        allowance_cents=sum(one.allowance_cents for one in own),
    )


def _key_of(one: OpenClaim) -> str:
    booking = one.claim.booking
    if booking.supplier_id:
        return f"supplier-{booking.supplier_id}"
    return f"carrier-{booking.carrier_id}"


def partner_key(one: PartnerRoll) -> str:
    """Return how an address names this partner."""
    return f"{'supplier' if one.is_supplier else 'carrier'}-{one.key}"


def _aged(name: str, claims: Iterable[OpenClaim]) -> AgedPartner:
    ages = dict.fromkeys(AGE_LABELS, 0)
    disputed = 0
    for one in claims:
        ages[one.age] += one.undisputed_cents
        disputed += one.disputed_cents
    total = sum(ages.values()) + disputed
    return AgedPartner(name, tuple(ages.items()), disputed, total)


def month_sheet(books: Sequence[CurrencyBooks], first: date, last: date) -> Sheet:
    """Return the roll-forward as a sheet: a row a carrier or supplier and currency."""
    rows = [one for own in books for one in own.partners]
    columns: list[Column[PartnerRoll]] = [
        Column("Carrier or supplier", "text", lambda row: row.name),
        Column("From", "day", lambda _: first),
        Column("To", "day", lambda _: last),
        Column("Currency", "text", lambda row: row.currency),
        _sum("Opening", lambda row: row.roll.opening),
        *(_line(key, label) for key, label in LINES.items()),
        _sum("Closing", lambda row: row.roll.closing),
        _sum("Of it beside the books", lambda row: row.beside_cents),
        _sum("Allowance", lambda row: row.allowance_cents),
        _sum("Shown on the balance sheet", lambda row: row.shown_cents),
    ]
    return make_sheet(
        "Claims roll-forward", columns, rows, currency_of=lambda row: row.currency
    )


def _sum(heading: str, read: Callable[[PartnerRoll], int]) -> Column[PartnerRoll]:
    return Column(heading, "cents", read, is_summed=True)


def _line(key: str, label: str) -> Column[PartnerRoll]:
    return _sum(label, lambda row: row.roll.lines[key])


def open_claims_sheet(claims: Sequence[OpenClaim], last: date) -> Sheet:
    """Return the open claims at the end of a day as a sheet, aged."""
    columns: list[Column[OpenClaim]] = [
        Column("Claim", "text", lambda row: row.claim.number),
        Column("Carrier or supplier", "text", _partner),
        Column("PRO", "text", lambda row: row.claim.shipment.paper_number),
        Column("Location", "text", lambda row: row.claim.location.name),
        Column("State now", "text", lambda row: row.claim.get_state_display()),
        Column("Filed", "day", lambda row: row.claim.sent_on),
        Column("On", "day", lambda _: last),
        Column("Days", "count", lambda row: row.days),
        *(_age(label) for label in AGE_LABELS),
        _open("Declined, in dispute", lambda row: row.disputed_cents),
        _open("Open", lambda row: row.listed_cents),
        _open("In the ledger", lambda row: row.book_cents),
        Column("Currency", "text", lambda row: row.claim.currency),
    ]
    return make_sheet(
        "Open claims", columns, claims, currency_of=lambda row: row.claim.currency
    )


def _partner(row: OpenClaim) -> str:
    return str(row.claim.booking.partner)


def _open(heading: str, read: Callable[[OpenClaim], int]) -> Column[OpenClaim]:
    return Column(heading, "cents", read, is_summed=True)


def _age(label: str) -> Column[OpenClaim]:
    return _open(label, lambda row: row.undisputed_cents if row.age == label else 0)
