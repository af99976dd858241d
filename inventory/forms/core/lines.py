"""Repeated lines inside a form, such as the parts of a crate type: a formset."""

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from crispy_forms.utils import TEMPLATE_PACK
from django import forms
from django.core.exceptions import ValidationError
from django.template.context import Context
from django.template.loader import render_to_string

from inventory.forms.core.base import HouseForm

_BASE: Any = forms.BaseFormSet
"""Django's formset is generic in its stubs only."""


class Line(forms.Form):
    """One line. ``named`` is the field whose label carries the number of the line.

    ``laid_out`` names the fields of each row; all are in one row where it is empty.
    """

    named = "name"
    laid_out: ClassVar[Sequence[Sequence[str]]] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.use_required_attribute = False
        for field in self.fields.values():
            field.is_conditional = True  # type: ignore[attr-defined]

    @property
    def is_filled(self) -> bool:
        """Return whether the line shows anything, typed or from the start."""
        return any(field.value() not in (None, "") for field in self)

    @property
    def rows(self) -> list[list[forms.BoundField]]:
        """Return the fields, row by row."""
        return [
            [self[name] for name in row] for row in self.laid_out or [[*self.fields]]
        ]

    @property
    def heading(self) -> str:
        """Return the label that carries the number of the line."""
        return str(self.fields[self.named].label)

    def require_whole(self, sentences: Mapping[str, str]) -> None:
        """Ask for each empty field of a line that is half filled in."""
        if not any(self._has(name) for name in sentences):
            return
        for name, sentence in sentences.items():
            if not self._has(name) and name not in self.errors:
                self.add_error(name, sentence)

    def _has(self, name: str) -> bool:
        return self.cleaned_data.get(name) not in (None, "")


class Lines(_BASE):  # type: ignore[misc]
    """The lines of one form: a few are open, the rest are folded.

    ``shown`` lines are open, and one more than are filled.
    """

    legend = ""
    hint = ""
    more_words = "More lines"
    shown = 2
    default_error_messages: ClassVar[dict[str, Any]] = {
        "missing_management_form": "Part of this page was lost on the way. Nothing "
        "was saved. Open it again.",
        "too_many_forms": "This page sent too many lines. Nothing was saved. Open it "
        "again.",
    }

    def add_fields(self, form: Any, index: int | None) -> None:
        """Put the number of the line into its label."""
        super().add_fields(form, index)
        label = form.fields[form.named].label
        form.fields[form.named].label = f"{label} {(index or 0) + 1}"

    @property
    def open_lines(self) -> Sequence[Any]:
        """Return the lines that are open: all that are filled in, and some empty."""
        return list(self.forms[: self._fold])

    @property
    def folded_lines(self) -> Sequence[Any]:
        """Return the lines behind "More"."""
        return list(self.forms[self._fold :])

    @property
    def _fold(self) -> int:
        used = [n for n, one in enumerate(self.forms, start=1) if one.is_filled]
        return max([self.shown, *(n + 1 for n in used)])

    def typed(self) -> list[dict[str, Any]]:
        """Return the lines that were filled in, cleaned, in order."""
        return [one.cleaned_data for one in self.forms if any(_said(one))]


def _said(line: Any) -> list[bool]:
    return [value not in (None, "") for value in line.cleaned_data.values()]


def lines_of(line: type[Line], lines: type[Any], *, most: int) -> Any:
    """Return the formset class of ``lines``, each a ``line``.

    A page shows ``most`` of them, or all that are stored; four times as many are taken.
    """
    return forms.formset_factory(
        line, formset=lines, extra=most, max_num=most, absolute_max=4 * most
    )


class LinedForm(HouseForm):
    """A form with repeated lines. ``line_sets`` names a formset class by prefix.

    What a fresh form shows in them is in ``initial`` under the same name, as a list.
    """

    line_sets_of: ClassVar[Mapping[str, Any]] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.line_sets = {
            name: made(self.data, prefix=name)
            if self.is_bound
            else made(prefix=name, initial=self.initial.get(name))
            for name, made in self.line_sets_of.items()
        }

    def clean(self) -> dict[str, Any]:
        """Refuse the form where a line is wrong; the summary then names each."""
        cleaned: dict[str, Any] = super().clean() or {}
        for lines in self.line_sets.values():
            if not lines.is_valid():
                self.add_error(
                    None, ValidationError(f"Check the lines under “{lines.legend}”.")
                )
        return cleaned


class LinesLayout:
    """The place of one set of lines in a layout; its markup is in the template."""

    template = "inventory/core/lines.html"

    def __init__(self, lines: Lines) -> None:
        self.lines = lines

    def render(
        self,
        form: Any,
        context: Context,
        template_pack: str = TEMPLATE_PACK,
        **_more: Any,
    ) -> str:
        """Return the lines as HTML."""
        around: dict[Any, Any] = context.flatten()
        return render_to_string(self.template, {**around, "lines": self.lines})
