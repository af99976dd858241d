"""What every form of the house shares: its crispy helper and its version."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms
from django.core.exceptions import ValidationError

from inventory.rules.core.text import clean_text


class HouseForm(forms.Form):
    """A form for one act. ``act`` is what its button says.

    Subclasses set ``act`` and, where the order or grouping is not that of the
    fields, override ``rows()``.
    """

    act = "Save"
    has_files = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.use_required_attribute = False

    def rows(self) -> Iterable[Any]:
        """Return the layout's pieces in order; all fields, unless overridden."""
        return list(self.fields)

    @property
    def helper(self) -> FormHelper:
        """Return the crispy helper: fields, then one button that says the act."""
        helper = FormHelper()
        helper.form_method = "post"
        helper.form_tag = True
        helper.attrs = {"novalidate": "novalidate"}
        if self.has_files:
            helper.attrs["enctype"] = "multipart/form-data"
        helper.layout = Layout(*self.rows())
        helper.add_input(Submit("act", self.act))
        return helper


class StaleForm(HouseForm):
    """A form over a row that others may change meanwhile: it carries the version."""

    version = forms.CharField(widget=forms.HiddenInput)

    def clean_version(self) -> int:
        """Return the version that the person saw."""
        text = clean_text(self.cleaned_data["version"])
        if not (text.isascii() and text.isdigit() and len(text) <= 9):
            raise ValidationError(
                "This page was damaged on the way. Nothing was saved. Open it again."
            )
        return int(text)
