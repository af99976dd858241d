"""Forms of a packaging hold: letters sent, the clock stopped, the release."""

from datetime import date
from typing import Any

from crispy_forms.layout import Field
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.forms.evidence.photos import PhotoField, PhotoFormMixin
from inventory.rules.crates.words import PACKAGING_RELEASES

MOST_PHOTOS = 20


class DayForm(StaleForm):
    """Record the day of something about a hold. ``today`` is the latest."""

    on = DayField(label="The day", missing="Write the day as 2026-03-31.")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day = self.fields["on"]
        if isinstance(day, DayField):
            day.latest = today
            day.initial = today


class LetterSentForm(DayForm):
    """Record that the letter went out."""

    act = "Record the sending"


class ClockStoppedForm(DayForm):
    """Record that the supplier agreed in writing to stop its clock."""

    act = "Record that the clock stands still"


class ReleasePackagingForm(PhotoFormMixin, StaleForm):
    """End a packaging hold, in one of three ways."""

    act = "Release the packaging"
    has_files = True

    how = PickField(
        label="What lets it go",
        words=PACKAGING_RELEASES,
        missing="Choose what lets it go.",
        as_rows=True,
    )
    reason = TextField(
        label="Who said so, when, and why",
        most=1000,
        missing="Write who inspected or decided, and when.",
    )
    panel_kept = LineField(
        label="The struck panel that stays here",
        most=100,
        help_text="Leave empty where the whole crate goes. What stays is missing from "
        "the crate when it is checked.",
    )
    photos = PhotoField(
        label="The carrier's report or its written waiver",
        multiple=True,
        help_text="Photos for the manager's own release are added one kind at a time, "
        "from the list on the hold's page.",
    )

    def rows(self) -> list[Any]:
        """Return the way, the reason, the panel and the paper."""
        return [
            "version",
            Field("client_id"),
            Field("how"),
            Field("reason"),
            Field("panel_kept"),
            Field("photos", data_previews="pictures"),
        ]

    def clean_photos(self) -> "list[UploadedFile[bytes]]":
        """Refuse more files than one person can check at once."""
        files: list[UploadedFile[bytes]] = self.cleaned_data["photos"] or []
        if len(files) > MOST_PHOTOS:
            raise ValidationError(
                f"Send at most {MOST_PHOTOS} files at a time. Nothing was saved."
            )
        return files
