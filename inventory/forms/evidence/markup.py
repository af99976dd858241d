"""The form that marks a photo: one line a mark, its places in percent."""

import re
from collections.abc import Iterable, Mapping
from typing import Any, ClassVar

from django.core.exceptions import ValidationError

from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.fields import TypedField
from inventory.forms.core.lines import Line, LinedForm, Lines, LinesLayout, lines_of
from inventory.forms.core.number_fields import DECIMAL_TYPING
from inventory.forms.core.text_fields import LineField
from inventory.rules.evidence.markup import (
    KINDS,
    MOST_LENGTH,
    MOST_MARKS,
    MOST_TEXT,
    UNITS,
    Mark,
    MarkError,
    mark_of,
)

_PLACE = re.compile(r"(\d{1,3})(?:\.(\d))?", re.ASCII)


class PlaceField(TypedField):
    """A place on a photo typed as a percentage, 62.5; gives thousandths, 625."""

    typing: ClassVar[Mapping[str, str]] = DECIMAL_TYPING

    def prepare_value(self, value: Any) -> Any:
        """Show thousandths as a percentage."""
        if not isinstance(value, int):
            return value
        whole, part = divmod(value, 10)
        return f"{whole}.{part}" if part else str(whole)

    def read(self, text: str) -> int:
        """Return the thousandths of a percentage that was typed."""
        found = _PLACE.fullmatch(text.removesuffix("%").strip())
        if found is None:
            raise ValidationError("Enter 0 to 100, such as 50 or 62.5.")
        return int(found[1]) * 10 + int(found[2] or 0)


class MarkLine(Line):
    """One mark: its kind, its two points, and what is written at it."""

    named = "kind"

    kind = PickField(label="Mark", words=KINDS, empty="None", required=False)
    x1 = PlaceField(label="Start: % from the left")
    y1 = PlaceField(label="Start: % from the top")
    x2 = PlaceField(label="End: % from the left")
    y2 = PlaceField(label="End: % from the top")
    text = LineField(label="Words", most=MOST_TEXT)
    length = LineField(label="Length", most=MOST_LENGTH, attrs={"inputmode": "text"})
    unit = PickField(label="Unit", words=UNITS, empty="Choose one", required=False)

    mark: Mark | None = None

    def clean(self) -> dict[str, Any]:
        """Make the mark, or say which of its fields is wrong."""
        cleaned = self.cleaned_data
        if self.errors or not any(cleaned.values()):
            return cleaned
        try:
            self.mark = mark_of(
                cleaned["kind"],
                (cleaned["x1"], cleaned["y1"]),
                (cleaned["x2"], cleaned["y2"]),
                text=cleaned["text"],
                length=cleaned["length"],
                unit=cleaned["unit"],
            )
        except MarkError as error:
            self.add_error(error.field, str(error))
        return cleaned


class MarkLines(Lines):
    """The marks of one photo."""

    legend = "Marks"
    hint = (
        "A circle fills the box between its start and its end; an arrow points at its "
        "end. Words need a start only. Clear a line to remove its mark."
    )
    more_words = "More marks"
    shown = 1


class MarkPhotoForm(LinedForm, StaleForm):
    """Mark a photo, or remove its marks."""

    act = "Save the marks"
    creates = True
    line_sets_of: ClassVar[dict[str, Any]] = {
        "mark": lines_of(MarkLine, MarkLines, most=MOST_MARKS)
    }

    def rows(self) -> Iterable[Any]:
        """Return the layout: the marks."""
        return ["version", LinesLayout(self.line_sets["mark"])]

    @property
    def marks(self) -> list[Mark]:
        """Return the marks of a valid form, in order."""
        return [one.mark for one in self.line_sets["mark"].forms if one.mark]


def lines_for(marks: Iterable[Mark]) -> list[dict[str, Any]]:
    """Return what the form first shows: a line for each mark."""
    return [
        {
            "kind": mark.kind,
            "x1": mark.x1,
            "y1": mark.y1,
            "x2": None if mark.kind == "words" else mark.x2,
            "y2": None if mark.kind == "words" else mark.y2,
            "text": mark.text if mark.kind == "words" else "",
            "length": mark.text if mark.kind == "measure" else "",
            "unit": mark.unit,
        }
        for mark in marks
    ]
