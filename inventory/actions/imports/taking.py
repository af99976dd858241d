"""Taking in a list from a file: all its new rows, or none; the same file once."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Model

from inventory.actions.core.events import noun_of, record_event
from inventory.actions.core.sent_documents import begin_sending
from inventory.actions.core.versions import RefusedError
from inventory.actions.imports.making import Taken, lock_for, make_row
from inventory.evidence.store.homes import Stored
from inventory.models import ImportedRow, ListImport, Location, Original, User
from inventory.queries.imports.lists import standing_import

_ZIP = b"PK\x03\x04"


@dataclass(frozen=True)
class ListTold:
    """A list as it was shown: its kind, its file, and the rows that are new.

    ``rows`` are the number of each row and what its action is given.
    """

    kind: str
    location: Location | None
    file_name: str
    media_type: str
    rows: Sequence[tuple[int, Mapping[str, Any]]]
    there: int
    refused: int


def media_type_of(data: bytes) -> str:
    """Return the media type of a list file's bytes; a workbook is a zip."""
    return "application/zip" if data.startswith(_ZIP) else "text/csv"


def take_list(
    *, person: User, at: dt.datetime, stored: Stored, told: ListTold
) -> tuple[ListImport, bool]:
    """Make every new row of the list; return its import and whether it is new.

    The same file of the same kind is a no-op that returns the first import. Raise
    RefusedError, naming the row, with nothing saved.
    """
    try:
        with transaction.atomic():
            begin_sending(stored)
            of = _begin(stored, told, person=person, at=at)
            lock_for(of, [fields for _row, fields in told.rows])
            for row, fields in told.rows:
                _take_row(Taken(of, row, fields, person, at))
            record_event(
                kind="list.imported",
                at=at,
                actor=person,
                location=told.location,
                subjects=[of],
                data={
                    "title": of.get_kind_display().lower(),
                    "file": of.file_name,
                    "count": len(told.rows),
                    "sha256": stored.sha256,
                },
            )
    except _HereBeforeError:
        first = standing_import(told.kind, stored.sha256)
        if first is None:
            raise RefusedError(
                "This file was imported and undone just now. Nothing was saved. Choose "
                "it again."
            ) from None
        return first, False
    return of, True


class _HereBeforeError(Exception):
    """The file was imported while this sending waited."""


def _begin(
    stored: Stored, told: ListTold, *, person: User, at: dt.datetime
) -> ListImport:
    original, _ = Original.objects.get_or_create(
        sha256=stored.sha256,
        defaults={
            "size": stored.size,
            "media_type": told.media_type,
            "stored_at": at,
        },
    )
    try:
        with transaction.atomic():
            return ListImport.objects.create(
                kind=told.kind,
                location=told.location,
                original=original,
                file_name=told.file_name,
                new_rows=len(told.rows),
                rows_there=told.there,
                rows_refused=told.refused,
                made_at=at,
                made_by=person,
            )
    except IntegrityError as error:
        raise _HereBeforeError from error


def _take_row(taken: Taken) -> None:
    try:
        made = make_row(taken)
    except RefusedError as error:
        raise RefusedError(
            f"Row {taken.row}: {error} None of the list was imported. Correct the row, "
            "or choose the file again to see what is there now."
        ) from error
    ImportedRow.objects.bulk_create(_linked(taken, one) for one in made)


def _linked(taken: Taken, made: Model) -> ImportedRow:
    return ImportedRow(
        list_import=taken.of,
        row=taken.row,
        noun=noun_of(made),
        key=str(made.pk),
        name=str(made)[:200],
    )
