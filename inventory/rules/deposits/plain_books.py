"""The journal as plain text: transactions, and the names that their accounts take.

The text is that of beancount, version 3: its account names and strings as its language
reference defines them (from memory; a test has its own reader read them).
"""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.rules.core.text import clean_text
from inventory.rules.reckoning.money import plain_cents

_NO_PART = re.compile(r"[^A-Za-z0-9]+")


@dataclass(frozen=True, slots=True)
class Posting:
    """One line of a transaction: cents on an account, credits below zero."""

    account: str
    cents: int
    about: str = ""


@dataclass(frozen=True, slots=True)
class Transaction:
    """One entry of the journal; ``named`` says what else is known of it."""

    on: date
    partner: str
    what: str
    currency: str
    named: tuple[tuple[str, str], ...]
    postings: Sequence[Posting]


def account_path(account_class: str, *parts: str) -> str:
    """Return an account's name: its class, then its number and name in one part.

    >>> account_path("Assets", "1290", "Crate deposits (Ward's)")
    'Assets:1290-Crate-deposits-Ward-s'
    """
    plain = unicodedata.normalize("NFKD", " ".join(parts))
    kept = "".join(mark for mark in plain if not unicodedata.combining(mark))
    name = _NO_PART.sub("-", kept).strip("-")
    return f"{account_class}:{name[:1].upper()}{name[1:]}"


def quoted(text: str) -> str:
    """Return text as a string of one line, with its quotes escaped."""
    line = " ".join(clean_text(text).split())
    escaped = line.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def opening_line(account: str, first: date) -> str:
    """Return the line that opens an account on the first day of the text."""
    return f"{first} open {account}"


def lines_of(row: Transaction) -> Iterator[str]:
    """Yield the lines of one transaction."""
    yield f"{row.on} * {quoted(row.partner)} {quoted(row.what)}"
    for name, value in row.named:
        if value:
            yield f"  {name}: {quoted(value)}"
    for posting in row.postings:
        amount = plain_cents(posting.cents, row.currency)
        yield f"  {posting.account}  {amount} {row.currency}"
        if posting.about:
            yield f"    about: {quoted(posting.about)}"
