"""How the rows of a list are tried: each as if it were typed into its page's form."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.db.models import Model
from django.http import QueryDict

from inventory.forms.core.base import HouseForm
from inventory.forms.core.fields import AskedField
from inventory.models import Location
from inventory.rules.imports.list_kind import ListKind
from inventory.rules.imports.reading import Fate, ListRow, name_of

Key = tuple[str, ...]


def plain(text: object) -> str:
    """Return a name as it is compared: one space between words, no case."""
    return " ".join(str(text).split()).casefold()


def pairs_of(text: str) -> list[tuple[str, str]]:
    """Return the pairs of a cell such as "60: 80; 90: 50"; the second may be empty."""
    parts = [part.strip() for part in text.split(";") if part.strip()]
    split = [part.rpartition(":") if ":" in part else (part, "", "") for part in parts]
    return [(first.strip(), second.strip()) for first, _colon, second in split]


class NamedField(AskedField):
    """A row told by its name, as it stands in a list. Set ``rows`` by plain name."""

    def __init__(self, *, label: str, absent: str) -> None:
        super().__init__(label=label, required=False)
        self.absent = absent
        self.rows: Mapping[str, Model] = {}

    def to_python(self, value: Any) -> Model | None:
        """Return the row of this name. Raise ValidationError where there is none."""
        text = str(value or "").strip()
        if not text:
            return None
        row = self.rows.get(plain(text))
        if row is None:
            raise ValidationError(self.absent.format(name=text[:40]))
        return row


@dataclass(frozen=True)
class NewRow:
    """A row that can be taken: its number, its name, and what its action is given."""

    row: int
    name: str
    fields: Mapping[str, Any]


@dataclass(frozen=True)
class Judged:
    """The rows that are new, and the fate of every row of the file."""

    new: Sequence[NewRow]
    fates: Sequence[Fate]

    def count(self, state: str) -> int:
        """Return how many rows have this fate."""
        return sum(one.state == state for one in self.fates)


class ListReader:
    """Tries the rows of one kind of list; made anew for every reading.

    ``row_form`` is the form of the kind's own page, so that a file can bring nothing
    that could not be typed. ``usual`` stands in an empty cell.
    """

    kind: ClassVar[ListKind]
    row_form: ClassVar[type[HouseForm]]
    usual: ClassVar[Mapping[str, str]] = {}

    def __init__(self, *, location: Location | None, today: date) -> None:
        self.location = location
        self.today = today

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        raise NotImplementedError

    def key(self, cells: Mapping[str, str]) -> Key:
        """Return what makes a row the same as another."""
        return tuple(plain(cells[one]) for one in self.kind.same_by)

    def options(self) -> Mapping[str, Any]:
        """Return what each row's form is made with."""
        return {}

    def against(self, cells: Mapping[str, str]) -> str:
        """Return why no form can be made for a row, or ""."""
        return ""

    def form(self, cells: Mapping[str, str], options: Mapping[str, Any]) -> HouseForm:
        """Return the form of a row, filled in."""
        return self.row_form(self._sent(cells), **options)

    def cell(self, name: str, text: str) -> str:
        """Return a cell as it would be typed: of a choice the key, not the words."""
        choices: Iterable[tuple[str, str]] = getattr(
            self.row_form.base_fields.get(name), "choices", ()
        )
        by_words = {plain(word): str(key) for key, word in choices}
        return by_words.get(plain(text), text)

    def fields(self, form: Any) -> Mapping[str, Any]:
        """Return what the action is given for a valid row."""
        fields: Mapping[str, Any] = form.own_fields()
        return fields

    def judge(self, rows: Sequence[ListRow], problems: Sequence[Fate]) -> Judged:
        """Return what becomes of every row."""
        there, options = self.there(), self.options()
        seen: dict[Key, int] = {}
        new: list[NewRow] = []
        fates = [*problems]
        for row in rows:
            name, key = name_of(row.cells, self.kind), self.key(row.cells)
            if key in there:
                fates.append(Fate(row.number, name, "there"))
                continue
            reason = self.against(row.cells)
            if key in seen:
                reason = f"Row {seen[key]} is the same {self.kind.noun}."
            seen.setdefault(key, row.number)
            if not reason:
                form = self.form(row.cells, options)
                if form.is_valid():
                    new.append(NewRow(row.number, name, self.fields(form)))
                else:
                    reason = self._first_error(form)
            state = "refused" if reason else "new"
            fates.append(Fate(row.number, name, state, reason))
        return Judged(new, sorted(fates, key=lambda one: one.row))

    def _sent(self, cells: Mapping[str, str]) -> QueryDict:
        data = QueryDict(mutable=True)
        for name in {**self.usual, **cells}:
            text = cells.get(name) or self.usual.get(name, "")
            if text:
                data[name] = self.cell(name, text)
        return data

    def _first_error(self, form: HouseForm) -> str:
        name, errors = next(iter(form.errors.items()))
        field = form.fields.get(str(name))
        label = field.label if field else ""
        heading = self.kind.columns.get(str(name)) or label
        return f"{heading}: {errors[0]}" if heading else str(errors[0])
