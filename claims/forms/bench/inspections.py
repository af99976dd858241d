"""Forms of the bench before anything is found: opening a crate, looking over."""

from typing import Any

from crispy_forms.bootstrap import AppendedText, InlineRadios
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Fieldset, Submit
from django.core.exceptions import ValidationError

from claims.actions.bench.inspections import LookTaken
from claims.forms.bench.fields import ReadingField
from claims.rules.bench.checklists import RESULTS, Look, looks_at
from claims.rules.core.vocabulary import CONDITIONS
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.text_fields import TextField
from inventory.forms.evidence.photos import PhotoField, PhotoFormMixin
from inventory.rules.core.vocabulary import HOLD_RELEASES

MOST_PHOTOS = 12

CRATE_CONDITIONS = {key: text for key, text in CONDITIONS.items() if key != "none"}


def call_not_optional(form: HouseForm, *names: str) -> None:
    """Let these fields say nothing about being optional: another answer calls for them."""
    for name in names:
        field: Any = form.fields[name]
        field.is_conditional = True


class SomePhotosMixin(PhotoFormMixin):
    """A form with photos beside other fields: at most a dozen at a time."""

    def clean_photos(self) -> list[Any]:
        """Refuse more photos than a phone sends in one go."""
        photos: list[Any] = self.cleaned_data["photos"]
        if len(photos) > MOST_PHOTOS:
            raise ValidationError(
                f"Send at most {MOST_PHOTOS} photos at a time. None of them is kept yet."
            )
        return photos


class OpenCrateForm(SomePhotosMixin, HouseForm):
    """Record that a crate is opened, with photos as it is opened."""

    act = "Record that it is opened"

    photos = PhotoField(
        label="Photos as it is opened",
        multiple=True,
        help_text="All sides closed, labels and indicators, then each layer.",
    )

    def rows(self) -> list[Any]:
        """Return the upload's number and the photos."""
        return [Field("client_id"), Field("photos", data_previews="pictures")]


class InspectForm(HouseForm):
    """One look over a machine: each look of the stage's list, readings if taken."""

    act = "Save the look"

    note = TextField(label="Anything else you saw", most=2000)

    def __init__(self, *args: Any, stage: str, has_crate: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stage = stage
        self.has_crate = has_crate
        self.looks = looks_at(stage)
        if has_crate:
            self.fields["crate_condition"] = PickField(
                label="The crate",
                words=CRATE_CONDITIONS,
                missing="Say how the crate was.",
                as_rows=True,
                help_text="As it stood before it was opened.",
            )
        for look in self.looks:
            self._add(look)
        asked = [name for name in self.fields if name.startswith(("look_", "reading_"))]
        call_not_optional(self, *asked)

    def _add(self, look: Look) -> None:
        self.fields[f"look_{look.key}"] = PickField(
            label=look.label, words=RESULTS, as_rows=True, help_text=look.hint
        )
        if look.reading:
            self.fields[f"reading_{look.key}"] = ReadingField(
                label=f"{look.label}: {look.reading.label.lower()}"
            )

    def rows(self) -> list[Any]:
        """Return the crate, then the looks in the order in which they are taken."""
        crate = [Field("crate_condition")] if self.has_crate else []
        looks: list[Any] = []
        for look in self.looks:
            looks.append(InlineRadios(f"look_{look.key}"))
            if look.reading:
                looks.append(AppendedText(f"reading_{look.key}", look.reading.unit))
        return [*crate, Fieldset("Look at", *looks), Field("note")]

    @property
    def helper(self) -> FormHelper:
        """Add the second button: what was not marked is right."""
        helper = super().helper
        helper.add_input(Submit("rest", "All the rest is right", css_class="btn-plain"))
        return helper

    def clean(self) -> dict[str, Any]:
        """Ask for at least one look or a word of what was seen."""
        cleaned = super().clean() or {}
        looked = any(cleaned.get(f"look_{look.key}") for look in self.looks)
        if not (looked or cleaned.get("note") or self._rest_is_right()):
            self.add_error(
                None,
                "Nothing is marked. Mark what you looked at, or say that all the rest "
                "is right. Nothing was saved.",
            )
        return cleaned

    def _rest_is_right(self) -> bool:
        return "rest" in self.data

    def looks_taken(self) -> list[LookTaken]:
        """Return what each look came to; a look that was not taken is left out."""
        rest = "right" if self._rest_is_right() else ""
        taken = []
        for look in self.looks:
            result = self.cleaned_data[f"look_{look.key}"] or rest
            reading = self.cleaned_data.get(f"reading_{look.key}", "")
            if result or reading:
                unit = look.reading.unit if look.reading and reading else ""
                taken.append(LookTaken(look.key, result, reading, unit))
        return taken

    def not_right(self) -> list[str]:
        """Return the labels of the looks that were marked as not right."""
        return [
            look.label
            for look in self.looks
            if self.cleaned_data[f"look_{look.key}"] == "wrong"
        ]


class ReleaseHoldForm(SomePhotosMixin, HouseForm):
    """End a hold, in one of three ways."""

    act = "Release the hold"

    how = PickField(
        label="What lets it go on",
        words=HOLD_RELEASES,
        missing="Choose what lets it go on.",
        as_rows=True,
    )
    reason = TextField(
        label="Who said so, when, and why",
        most=1000,
        missing="Write who inspected or decided, and when.",
    )
    photos = PhotoField(
        label="The waiver, the report, or photos of the damage",
        multiple=True,
        help_text="A waiver in writing has to be kept here. The manager's own release "
        "needs photos of the damage as it is now.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        call_not_optional(self, "photos")

    def rows(self) -> list[Any]:
        """Return the way, the reason and the proof."""
        return [
            Field("client_id"),
            Field("how"),
            Field("reason"),
            Field("photos", data_previews="pictures"),
        ]
