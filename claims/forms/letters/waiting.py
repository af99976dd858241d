"""Forms for the letters of waiting."""

from typing import Any

from django import forms

from claims.forms.letters.choices import ChoicesForm
from claims.rules.letters.waiting import DocumentsSent
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.text_fields import TextField


class DocumentsForm(ChoicesForm):
    """Choose the documents that go along, and the request that they answer."""

    documents = forms.MultipleChoiceField(
        label="Documents enclosed",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one document.",
            "invalid_choice": "Choose from those on file.",
        },
    )
    asked_on = DayField(label="Date of the carrier's request (optional)")
    asked_for = TextField(
        label="What the carrier asked for (optional)",
        most=400,
        rows=3,
        help_text="In the carrier's own words. It is quoted.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        documents = self.fields["documents"]
        assert isinstance(documents, forms.MultipleChoiceField)  # noqa: S101
        documents.choices = [(name, name) for name in self.facts.documents]
        asked = self.fields["asked_on"]
        if isinstance(asked, DayField):
            asked.latest = self.facts.today

    def choices(self) -> DocumentsSent:
        """Return the documents in the order of the list, and the request."""
        data = self.cleaned_data
        chosen = set(data["documents"])
        return DocumentsSent(
            documents=tuple(name for name in self.facts.documents if name in chosen),
            asked_on=data["asked_on"],
            asked_for=" ".join(data["asked_for"].split()),
        )


FORMS_OF_WAITING: dict[str, type[ChoicesForm]] = {"documents": DocumentsForm}
