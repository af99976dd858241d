"""Undoing an import: its rows are retired, unless one of them is used already.

A retired row is kept and is in no list; its name is free for another, so the same file
makes new rows later. Money is reversed.
"""

import datetime as dt
from collections.abc import Sequence

from django.db import transaction

from inventory.actions.core.events import lock_chain, record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.deposits.ending import charge_of, withdraw_deposit
from inventory.actions.imports.making import posting_key_of
from inventory.actions.ledger.checks import locked_through
from inventory.actions.ledger.locks import lock_books
from inventory.lists_above import retirers
from inventory.models import (
    CrateTerms,
    Deposit,
    Entry,
    ListImport,
    RetiredTerms,
    User,
)
from inventory.models.withdrawn import Withdrawable
from inventory.queries.imports.uses import Made, first_use, made_by
from inventory.rules.reckoning.calendars import in_words

RETIRED = "Retired by import undo"


def undo_import(
    *,
    person: User,
    at: dt.datetime,
    list_import: ListImport,
    version: int,
    reason: str,
) -> None:
    """Retire every row that the import made, or none.

    Raise StaleRowError, and RefusedError naming the first use, or a locked day.
    """
    with transaction.atomic():
        _undo(list_import, version, reason, person=person, at=at)


def why_not_undo(list_import: ListImport, made: Sequence[Made]) -> str:
    """Return the reason against undoing the import now, or ""."""
    if list_import.undone_at is not None:
        return "This import is undone already."
    return first_use(made) or _locked(list_import, made)


def _undo(
    list_import: ListImport,
    version: int,
    reason: str,
    *,
    person: User,
    at: dt.datetime,
) -> None:
    row = ListImport.objects.select_for_update(of=("self",)).get(pk=list_import.pk)
    deposits = [one.now for one in made_by(row) if isinstance(one.now, Deposit)]
    lock_books((one.location, one.supplier, one.currency) for one in deposits)
    made = made_by(row, locked=True)
    lock_chain()  # what is not seen as a use now is refused as one later
    against = why_not_undo(row, made)
    if against:
        raise RefusedError(f"{against} Nothing was undone.")
    change_row(
        row, version=version, undone_at=at, undone_by=person, undone_reason=reason
    )
    for one in made:
        _retire(row, one, f"{RETIRED}: {reason}"[:300], person=person, at=at)
    record_event(
        kind="list.undone",
        at=at,
        actor=person,
        location=row.location,
        subjects=[row],
        data={
            "title": row.get_kind_display().lower(),
            "file": row.file_name,
            "count": len(made),
            "reason": reason,
        },
    )


def _locked(list_import: ListImport, made: Sequence[Made]) -> str:
    """Return why money of the import stays: its day is locked; or ""."""
    if list_import.location is None:
        return ""
    through = locked_through(list_import.location)
    keys = [one.now.pk for one in made if isinstance(one.now, Deposit)]
    if through is None or not keys:
        return ""
    opened = Entry.objects.filter(kind="opening", legs__deposit__in=keys)
    if not opened.filter(effective_on__lte=through).exists():
        return ""
    return (
        f"The books are locked through {in_words(through)}, and the import is in them. "
        "Withdraw a wrong deposit on its own page: that posts in the open month."
    )


def _retire(
    of: ListImport, one: Made, reason: str, *, person: User, at: dt.datetime
) -> None:
    row = one.now
    if isinstance(row, Deposit):
        withdraw_deposit(
            deposit=row,
            version=row.version,
            reason=reason,
            effective_on=charge_of(row).effective_on,
            posting_key=posting_key_of(of, one.link.pk, "undone"),
            person=person,
            at=at,
        )
    elif isinstance(row, CrateTerms):
        RetiredTerms.objects.create(
            terms=row, reason=reason, retired_at=at, retired_by=person
        )
    elif row is not None and type(row) in retirers:
        retirers[type(row)](row, reason, person=person, at=at)
    elif isinstance(row, Withdrawable):
        change_row(
            row,
            version=row.version,
            withdrawn_at=at,
            withdrawn_by=person,
            withdrawn_reason=reason,
            **(_signed_out(row) if isinstance(row, User) else {}),
        )


def _signed_out(row: User) -> dict[str, object]:
    """Take a person's roles; return what else changes, so the sign-in name is free."""
    row.assignments.all().delete()
    return {"is_active": False, "username": f"{row.username[:120]}.retired-{row.pk}"}
