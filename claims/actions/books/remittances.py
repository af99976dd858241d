"""The rest of a remittance in the books: owed to whoever paid it."""

import datetime as dt

from claims.models import Remittance
from claims.queries.books.booking import partner_of
from claims.queries.core.remittances import (
    entries_of_rest,
    joined_remittances,
    note_of,
    rest_of,
    standing_parts,
    stem_of,
)
from claims.rules.books import kinds
from claims.rules.books.positions import COUNTERS
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.locks import lock_books
from inventory.actions.ledger.posting import lines_of, post_entry
from inventory.actions.ledger.reversals import reverse_entry
from inventory.models import User
from inventory.rules.deposits.postings import Line, amount_of


def lock_remittance(remittance: Remittance) -> Remittance:
    """Hold the books of the payer and of the claims; return the current remittance.

    A claim that is not booked yet may have been sent to another company since.
    """
    row = joined_remittances().get(pk=remittance.pk)
    partners = [partner_of(one.claim) for one in standing_parts(row)]
    payers = [row.payer, *(one for one in partners if one is not None)]
    lock_books((row.location, payer, row.currency) for payer in payers)
    return joined_remittances().get(pk=row.pk)


def post_rest(
    remittance: Remittance, *, on: dt.date, person: User, at: dt.datetime
) -> None:
    """Bring the entries of the rest to what no claim takes now, by reversal.

    Call it in the act's transaction, under the payer's book, after the parts are
    written. The same rest again posts nothing.
    """
    row = joined_remittances().get(pk=remittance.pk)
    entries, want = entries_of_rest(row), rest_of(row)
    gone = {one.reverses_id for one in entries}
    standing = [one for one in entries if not one.reverses_id and one.pk not in gone]
    if sum(amount_of(lines_of(one)) for one in standing) == want:
        return
    day = open_day(row.location, max([on, *(one.effective_on for one in standing)]))
    number = len(entries)
    for one in standing:
        number += 1
        reverse_entry(
            entry=one,
            effective_on=day,
            reason=note_of(row),
            posting_key=f"{stem_of(row)}{number}",
            person=person,
            at=at,
        )
    if not want:
        return
    counter = COUNTERS.get(row.method, kinds.CASH)
    post_entry(
        kind=kinds.REST,
        location=row.location,
        supplier=row.supplier,
        carrier=row.carrier,
        currency=row.currency,
        effective_on=day,
        lines=(Line(counter, want), Line(kinds.OWED, -want)),
        posting_key=f"{stem_of(row)}{number + 1}",
        person=person,
        at=at,
        note=note_of(row),
    )
