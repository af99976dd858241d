"""The journal as files: the columns of its table, and its entries as plain text."""

from collections.abc import Iterable, Iterator

from inventory.queries.ledger.journal import JournalEntry, JournalLine
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.deposits.plain_books import Posting, Transaction, account_path


def lines_in(entries: Iterable[JournalEntry]) -> Iterator[JournalLine]:
    """Yield the lines of the entries, a row each."""
    for one in entries:
        yield from one.lines


def currency_of(line: JournalLine) -> str:
    """Return the currency of a line."""
    return line.entry.currency


def journal_sheet(entries: Iterable[JournalEntry]) -> Sheet:
    """Return the journal as a sheet, a row a leg; debits and credits sum to the same."""
    return make_sheet("Journal", COLUMNS, lines_in(entries), currency_of=currency_of)


def transactions_of(entries: Iterable[JournalEntry]) -> Iterator[Transaction]:
    """Yield each entry as a transaction of plain text."""
    for one in entries:
        yield _transaction(one)


def _transaction(one: JournalEntry) -> Transaction:
    entry = one.entry
    return Transaction(
        on=entry.effective_on,
        partner=entry.partner.name,
        what=entry.get_kind_display(),
        currency=entry.currency,
        named=(
            ("entry", str(entry.pk)),
            ("location", entry.location.name),
            ("reverses", str(entry.reverses_id or "")),
            ("note", entry.note),
            ("entered-by", str(entry.entered_by)),
        ),
        postings=tuple(
            Posting(
                account_path(line.account_class, line.number, line.account),
                line.cents,
                line.what,
            )
            for line in one.lines
        ),
    )


def _note(line: JournalLine) -> str:
    entry = line.entry
    if entry.reverses is None:
        return entry.note
    return f"Reverses {entry.reverses_id}. {entry.note}".strip()


COLUMNS: list[Column[JournalLine]] = [
    Column("Entry", "text", lambda line: str(line.entry.pk)),
    Column("Day", "day", lambda line: line.entry.effective_on),
    Column("What", "text", lambda line: line.entry.get_kind_display()),
    Column("Location", "text", lambda line: line.entry.location.name),
    Column("Supplier or carrier", "text", lambda line: line.entry.partner.name),
    Column("Number", "text", lambda line: line.number),
    Column("Account", "text", lambda line: line.account),
    Column("Class", "text", lambda line: line.account_class),
    Column("Debit", "cents", lambda line: line.debit, is_summed=True),
    Column("Credit", "cents", lambda line: line.credit, is_summed=True),
    Column("Currency", "text", currency_of),
    Column("Deposit", "text", lambda line: line.what),
    Column("Note", "text", _note),
    Column("Entered by", "text", lambda line: str(line.entry.entered_by)),
]
