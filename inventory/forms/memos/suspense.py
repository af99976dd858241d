"""Forms that decide a credit held in suspense."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from crispy_forms.layout import Row

from inventory.forms.core.choice_fields import RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField
from inventory.forms.memos.memos import deposit_words
from inventory.forms.memos.short_credits import DecideShortForm


class MatchHeldForm(DecideShortForm):
    """Choose the crate that a held credit is for."""

    deposit = RowField(
        label="Crate", required=True, help_text="Crates with an open credit."
    )

    def __init__(self, *args: Any, candidates: Any, **kwargs: Any) -> None:
        super().__init__(*args, needs_reason=False, **kwargs)
        field: Any = self.fields["deposit"]
        field.queryset = candidates
        field.empty_label = "Choose a crate"
        field.label_from_instance = deposit_words

    def rows(self) -> Iterable[Any]:
        """Return the crate, then date and reason."""
        return ["version", "deposit", "decided_on", "reason"]


class AnswerForm(DecideShortForm):
    """Take a held credit as income by the supplier's written answer."""

    answered_on = DayField(label="Date of the written answer", required=True)
    answered_by = LineField(
        label="Written by",
        most=120,
        missing="Enter who wrote the answer, and how.",
        help_text="Name and how it came, such as J. Hale, email.",
    )

    documents = PhotosField(
        label="File of the answer", help_text="Such as the email as a PDF, or a photo."
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, today=today, needs_reason=False, **kwargs)
        answered: Any = self.fields["answered_on"]
        answered.latest = today

    def rows(self) -> Iterable[Any]:
        """Return the answer, then date and reason."""
        answer = Row("answered_on", "answered_by")
        return ["version", answer, "documents", "decided_on", "reason"]
