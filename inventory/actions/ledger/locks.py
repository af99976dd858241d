"""The locks of the ledger, taken before a balance is read.

One book is the accounts of a location with a supplier or carrier in a currency. Its lock stands
for all of them, so nobody waits for one account while holding another. The order is
location, book, rows, and last the chain: an act that changes rows or records an event
before it posts calls ``lock_book`` first of all, or ``lock_books`` for several.
SQLite's writers pass one by one.
"""

import zlib
from collections.abc import Iterable

from django.db import connection, transaction

from inventory.models import Carrier, Deposit, Location, Supplier

PERIOD_LOCK = 7_201_371
BOOK_LOCK = 7_201_372
"""The classes of advisory locks that PostgreSQL's posting writers queue for."""


def lock_book(location: Location, partner: Supplier | Carrier, currency: str) -> None:
    """Hold the accounts of this book, and its period open, until the commit.

    Raise TransactionManagementError outside a transaction.
    """
    _require_transaction()
    _advise("pg_advisory_xact_lock_shared", PERIOD_LOCK, location.pk)
    _advise("pg_advisory_xact_lock", BOOK_LOCK, book_key(location, partner, currency))


def lock_books(books: Iterable[tuple[Location, Supplier | Carrier, str]]) -> None:
    """Hold several books, each once and in one order for every act.

    Two acts that lock them in different orders would wait for each other.
    """
    by_key = {book_key(*book): book for book in books}
    for key in sorted(by_key):
        lock_book(*by_key[key])


def lock_deposit(deposit: Deposit) -> Deposit:
    """Lock the deposit's book, then return the current deposit."""
    lock_book(deposit.location, deposit.supplier, deposit.currency)
    rows = Deposit.objects.select_for_update(of=("self",))
    return rows.select_related(
        "location", "supplier", "crate_type", "crate__shipment", "terms"
    ).get(pk=deposit.pk)


def lock_periods(location: Location) -> None:
    """Hold back all postings of the location until the commit."""
    _require_transaction()
    _advise("pg_advisory_xact_lock", PERIOD_LOCK, location.pk)


def book_key(location: Location, partner: Supplier | Carrier, currency: str) -> int:
    """Return the book's number: two books that share one only wait for each other."""
    own = f"carrier-{partner.pk}" if isinstance(partner, Carrier) else partner.pk
    name = f"{location.pk}/{own}/{currency}"
    return zlib.crc32(name.encode()) - 2**31


def _require_transaction() -> None:
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "A lock of the ledger needs the transaction of its act."
        )


def _advise(function: str, kind: int, key: int) -> None:
    if connection.vendor != "postgresql":
        return
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {function}(%s, %s)", [kind, key])
