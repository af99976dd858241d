"""A form with lines: a Django formset in the middle of a form."""

from collections.abc import Sequence
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, LayoutObject
from crispy_forms.utils import TEMPLATE_PACK
from django import forms
from django.core.exceptions import ValidationError
from django.forms import BaseFormSet, formset_factory
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from inventory.forms.core.base import HouseForm

CHECK_LINES = "Some lines are not complete. Check them below."
DAMAGED = "This page was damaged on the way. Nothing was saved. Open it again."


class LineOfForm(forms.Form):
    """One line. A line in which nothing is typed is left out.

    Subclasses override ``rows()`` where the order is not that of the fields.
    """

    title = ""

    def rows(self) -> Sequence[Any]:
        """Return the layout's pieces in order; all fields, unless overridden."""
        return list(self.fields)


class _Lines(BaseFormSet):  # type: ignore[type-arg]
    """The lines, each with its number as a title."""

    def add_fields(self, form: LineOfForm, index: int | None) -> None:
        """Give the line its number as a title."""
        super().add_fields(form, index)
        form.title = f"Line {(index or 0) + 1}"
        form.label_suffix = ""


class LinesForm(HouseForm):
    """A form with ``line_count`` lines of ``line_class``, named ``lines-0-...``.

    ``rows()`` places them with ``self.line_rows()``.
    """

    line_class: ClassVar[type[LineOfForm]]
    line_count: ClassVar[int]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        several = formset_factory(
            self.line_class,
            formset=_Lines,
            extra=self.line_count,
            max_num=self.line_count,
            absolute_max=self.line_count,
        )
        data = self.data if self.is_bound else None
        self.lines: BaseFormSet[LineOfForm] = several(data, prefix="lines")

    def clean(self) -> dict[str, Any]:
        """Check every line; what is wrong in one is said in its own fields."""
        cleaned: dict[str, Any] = super().clean() or {}
        if self.lines.non_form_errors():
            raise ValidationError(DAMAGED)
        if not self.lines.is_valid():
            raise ValidationError(CHECK_LINES)
        return cleaned

    def begun(self) -> list[LineOfForm]:
        """Return the lines in which something was typed."""
        return [line for line in self.lines.forms if line.has_changed()]

    def line_rows(self) -> LayoutObject:
        """Return what draws the lines."""
        return _LineRows()


class _LineRows(LayoutObject):  # type: ignore[misc]
    """Draws the lines of the form, a group of fields each."""

    fields: ClassVar[list[Any]] = []

    def render(
        self,
        form: LinesForm,
        context: Any,
        template_pack: SafeString = TEMPLATE_PACK,
        **kwargs: Any,
    ) -> SafeString:
        """Return the markup of all lines."""
        groups = [_helper(line).render_layout(line, context) for line in form.lines]
        pieces = [form.lines.management_form.render(), *groups]
        return format_html_join("", "{}", ((piece,) for piece in pieces))


def _helper(line: LineOfForm) -> FormHelper:
    helper = FormHelper()
    helper.layout = Layout(Fieldset(line.title, *line.rows()))
    return helper
