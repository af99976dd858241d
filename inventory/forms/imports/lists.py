"""A list from a file: read to be shown row by row, then taken as it was shown."""

from collections.abc import Mapping
from typing import Any, Self

from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import RowField
from inventory.forms.core.sheet_files import SheetField, bytes_of, table_of
from inventory.forms.core.shown import ShownForm
from inventory.forms.core.text_fields import LineField
from inventory.models import Location
from inventory.rules.core.table_files import SheetError
from inventory.rules.imports.list_kind import MOST_ROWS, ListKind
from inventory.rules.imports.reading import Fate, ListRow, read_rows

RowsRead = tuple[list[ListRow], list[Fate]]


class ReadListForm(HouseForm):
    """Read a list from a file, only to show the fate of each row."""

    act = "Preview the list"
    has_files = True

    location = RowField(label="Location", required=True)
    sheet = SheetField(label="List (CSV or XLSX)", help_text="")

    def __init__(
        self,
        *args: Any,
        kind: ListKind,
        places: QuerySet[Location] | None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        fields: dict[str, Any] = self.fields
        if places is None:
            del fields["location"]
        else:
            fields["location"].queryset = places
            if len(places) == 1:
                self.initial.setdefault("location", places[0].pk)
        needed = ", ".join(kind.columns[one] for one in kind.needed)
        fields["sheet"].help_text = (
            f"Needed: {needed}. Up to {MOST_ROWS} rows and 2 MB; a workbook with one "
            "sheet, without formulas."
        )
        self.content = b""
        self.rows_read: list[ListRow] = []
        self.problems: list[Fate] = []

    def clean(self) -> dict[str, Any]:
        """Read the file. What cannot be read of it is shown row by row."""
        cleaned: dict[str, Any] = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            self.content = bytes_of(cleaned["sheet"])
            self.rows_read, self.problems = rows_of(self.content, self.kind)
        except SheetError as error:
            self.add_error("sheet", str(error))
        return cleaned


def rows_of(data: bytes, kind: ListKind) -> RowsRead:
    """Return the rows of a list file. Raise SheetError where it is none."""
    table, _separator = table_of(data, is_strict=True)
    return read_rows(table, kind)


class TakeListForm(ShownForm):
    """Import the new rows that were shown, of the file with the hash that was shown."""

    act = "Import the new rows"
    creates = True
    salt = "inventory.list-import"
    damaged = (
        "The preview was damaged on the way or is too old. Nothing was saved. Choose "
        "the file again."
    )

    def __init__(
        self,
        *args: Any,
        kind: ListKind,
        places: QuerySet[Location] | None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, location=Location(), **kwargs)
        self.kind = kind
        self.places = places

    @classmethod
    def showing(cls, kind: ListKind, shown: Mapping[str, Any]) -> Self:
        """Return the form that sends a preview back: its file, its fates, its place."""
        whole = cls._signed(Location(), {**shown, "kind": kind.key})
        return cls(kind=kind, places=None, initial=whole)

    def again(self, shown: Mapping[str, Any]) -> dict[str, Any]:
        """Return what was shown. Refuse another kind of list, or another's location."""
        place = None
        if self.places is not None:
            place = self.places.filter(pk=shown["place"]).first()
        if shown["kind"] != self.kind.key or (self.places is not None and not place):
            raise ValidationError(self.damaged)
        return {**shown, "place": place}


class UndoImportForm(StaleForm):
    """Undo an import."""

    act = "Undo the import"

    reason = LineField(label="Reason", most=300, missing="Enter a reason.")
