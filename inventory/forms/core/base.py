"""What every form of the house shares: its crispy helper, its id and its version."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID, uuid4

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms
from django.core.exceptions import ValidationError

from inventory.actions.core.once import Answer
from inventory.actions.evidence.uploads import content_hash
from inventory.rules.core.text import clean_text

_NOT_BODY = frozenset({"csrfmiddlewaretoken", "once", "version"})
"""What differs between two sendings of the same words."""


class OnceField(forms.UUIDField):
    """The id that a form is shown with and sends back, so that it saves only once.

    What cannot be read counts as not sent: the form is given another id.
    """

    widget = forms.HiddenInput

    def __init__(self) -> None:
        super().__init__(required=False, initial=uuid4)

    def bound_data(self, data: Any, initial: Any) -> Any:
        """Return the id that was sent, or the new one."""
        try:
            return self.to_python(data) or initial
        except ValidationError:
            return initial

    def clean(self, value: Any) -> Any:
        """Refuse nothing: see ``bound_data``."""
        return value


class HouseForm(forms.Form):
    """A form for one act. ``act`` is what its button says.

    Subclasses set ``act`` and, where the order or grouping is not that of the
    fields, override ``rows()``. A form that makes a row or moves money sets
    ``creates``: it then carries an id, and is saved once however often it is sent.
    """

    act = "Save"
    has_files = False
    creates = False

    saved_before: Answer | None = None
    """What was saved under this form's id, where it now says something else."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.use_required_attribute = False
        if self.creates:
            self.save_once()

    def save_once(self) -> None:
        """Carry an id: the form is saved once, however often it is sent."""
        self.creates = True
        self.fields["once"] = OnceField()

    def _post_clean(self) -> None:
        """Leave the form's own id out of what was told: an action never takes it."""
        super()._post_clean()  # type: ignore[misc]
        self.cleaned_data.pop("once", None)

    @property
    def once_id(self) -> UUID:
        """Return the id under which this form is saved once."""
        return UUID(str(self["once"].value()))

    @property
    def another_id(self) -> UUID:
        """Return an id under which the same words are saved as another row."""
        return uuid4()

    def body(self) -> dict[str, list[str]]:
        """Return what was sent, by field; of files their SHA-256.

        It is what was typed, not what it was cleaned to: the same form sent again
        must be known even where its choices are gone because it was saved.
        """
        typed: Any = self.data
        sent: Any = self.files
        body = {
            name: [value.strip() for value in values]
            for name, values in typed.lists()
            if name not in _NOT_BODY
        }
        for name, uploads in sent.lists():
            body[f"{name} files"] = [content_hash(upload) for upload in uploads]
        return body

    def replace_data(self, name: str, values: list[str]) -> None:
        """Let the form say this in one field, as if it had been sent so."""
        data: Any = self.data.copy()  # type: ignore[attr-defined]
        data.setlist(name, values)
        self.data = data
        self._errors = None  # it is cleaned anew when it is next asked

    def rows(self) -> Iterable[Any]:
        """Return the layout's pieces in order; all fields, unless overridden."""
        return [name for name in self.fields if name != "once"]

    @property
    def helper(self) -> FormHelper:
        """Return the crispy helper: fields, then one button that says the act."""
        helper = FormHelper()
        helper.form_method = "post"
        helper.form_tag = True
        helper.attrs = {"novalidate": "novalidate"}
        if self.has_files:
            helper.attrs["enctype"] = "multipart/form-data"
        once = ["once"] if self.creates else []
        helper.layout = Layout(*once, *self.rows())
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

    def take_version(self, version: int) -> None:
        """Let a second save count against the row as it is now."""
        data: Any = self.data.copy()  # type: ignore[attr-defined]
        data[self.add_prefix("version")] = str(version)
        self.data = data
