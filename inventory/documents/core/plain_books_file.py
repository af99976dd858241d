"""The journal as a plain text file, written a piece at a time."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from inventory.rules.deposits.plain_books import (
    Transaction,
    lines_of,
    opening_line,
    quoted,
)


def plain_books(
    title: str,
    first: date,
    remarks: Sequence[str],
    transactions: Iterable[Transaction],
) -> Iterator[bytes]:
    """Yield the file: what it is, then each transaction.

    An account is opened before its first use, on the first day of the file.
    """
    yield _text([*(f"; {line}" for line in remarks), f'option "title" {quoted(title)}'])
    opened: set[str] = set()
    for row in transactions:
        new = [one.account for one in row.postings if one.account not in opened]
        opened.update(new)
        openings = [opening_line(account, first) for account in dict.fromkeys(new)]
        yield _text(["", *openings, *lines_of(row)])


def _text(lines: Iterable[str]) -> bytes:
    return "".join(f"{line}\n" for line in lines).encode()
