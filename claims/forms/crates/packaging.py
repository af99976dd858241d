"""Forms of a packaging hold: letters sent, the clock stopped, the release."""

from datetime import date
from typing import Any

from crispy_forms.layout import Field
from django import forms

from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.rules.crates.words import PACKAGING_RELEASES


class DayForm(StaleForm):
    """Record the day of something about a hold. ``today`` is the latest."""

    on = DayField(label="Date", missing="Enter a date.")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day = self.fields["on"]
        if isinstance(day, DayField):
            day.latest = today
            day.initial = today


class ConfirmLetterForm(StaleForm):
    """Confirm the letter that was read: its digest."""

    creates = True
    act = "Confirm the letter"
    digest = forms.RegexField(r"\A[0-9a-f]{64}\Z", widget=forms.HiddenInput)


class LetterSentForm(DayForm):
    """Record that the letter was sent."""

    act = "Record as sent"


class ClockStoppedForm(DayForm):
    """Record that the supplier agreed in writing to stop its clock."""

    act = "Record as stopped"


class ReleasePackagingForm(StaleForm):
    """Release a packaging hold, in one of three ways."""

    act = "Release the packaging"

    how = PickField(
        label="Why can it be released?",
        words=PACKAGING_RELEASES,
        missing="Choose one.",
        as_rows=True,
    )
    reason = TextField(
        label="Reason",
        most=1000,
        missing="Enter who inspected or decided, and when.",
        help_text="Who inspected or decided, and when.",
    )
    panel_kept = LineField(
        label="Damaged panel kept here",
        most=100,
        help_text="Leave empty where the whole crate goes. A panel kept here counts as "
        "missing when the crate is checked.",
    )
    photos = PhotosField(
        label="Carrier's report or written waiver",
        help_text="For the manager's own release, add the photos from the list on the "
        "hold's page.",
    )

    def rows(self) -> list[Any]:
        """Return how, why, the panel and the document."""
        return [
            "version",
            Field("how"),
            Field("reason"),
            Field("panel_kept"),
            Field("photos", data_previews="pictures"),
        ]
