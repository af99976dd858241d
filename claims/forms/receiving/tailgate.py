"""Forms of the tailgate: a crate's look, the signature, and what comes after it."""

from typing import Any

from crispy_forms.layout import HTML, Field
from django import forms
from django.core.exceptions import ValidationError

from claims.rules.core import vocabulary as claim_words
from claims.rules.receiving.receipt_words import Damage
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.forms.evidence.photos import PhotoField, PhotoFormMixin
from inventory.rules.core import vocabulary as words

NO_PHOTO = {
    "driver would not wait": "Driver would not wait",
    "no camera at hand": "No camera at hand",
    "too dark to see": "Too dark to see",
}
LOOKS = {key: label for key, label in words.LOOKS.items() if key}
KINDS = {
    key: label
    for key, label in claim_words.DAMAGE_KINDS.items()
    if key not in {"short", "over", "defect", "missing"}
}
MOST_PHOTOS = 12


def _mark_conditional(form: forms.Form, *names: str) -> None:
    """Say that these are asked for by what is chosen, so never "optional"."""
    for name in names:
        field: Any = form.fields[name]
        field.is_conditional = True


class LookForm(PhotoFormMixin, StaleForm):
    """A crate's look: clear, exception or refused, and what was seen."""

    act = "Save this crate's look"

    look = PickField(
        label="This crate is",
        words=LOOKS,
        missing="Choose clear, exception or refused.",
        as_rows=True,
    )
    where = forms.MultipleChoiceField(
        label="Where",
        choices=list(claim_words.FACES.items()),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Tap every side that shows it. Side 1 carries the label.",
        error_messages={"invalid_choice": "Tap one of the sides drawn."},
    )
    kind = PickField(label="What", words=KINDS, empty="Choose what you see")
    severity = PickField(
        label="How bad", words=claim_words.SEVERITIES, empty="Choose how bad"
    )
    note = LineField(
        label="In a few words",
        most=300,
        help_text="Such as: fork hole 20 cm, machine cover visible.",
    )
    photos = PhotoField(label="Photos of it", multiple=True)
    no_photo_reason = PickField(
        label="No photo, because", words=NO_PHOTO, empty="A photo is here"
    )
    refused_for = PickField(
        label="If refused: why",
        words=words.REFUSAL_REASONS,
        empty="Not refused",
        help_text="Only these are reasons. Otherwise accept it with the exception.",
    )
    reason = LineField(
        label="If clear after all: why",
        most=300,
        help_text="Only where something is written against this crate already.",
    )

    def __init__(self, *args: Any, has_findings: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.has_findings = has_findings
        _mark_conditional(self, "where", "kind", "severity", "photos", "refused_for")
        _mark_conditional(self, "no_photo_reason", "reason")
        if not has_findings:
            del self.fields["reason"]

    def rows(self) -> list[Any]:
        """Return the look, then the damage in the order in which it is seen."""
        return [
            Field("version"),
            Field("client_id"),
            Field("look"),
            Field("where", template="dock/layout/crate_faces.html"),
            Field("kind"),
            Field("severity"),
            Field("note"),
            Field("photos", data_previews="pictures"),
            Field("no_photo_reason"),
            HTML(
                "<details class='more'{% if form.is_bound %} open{% endif %}><summary>Refusing this crate</summary>"
            ),
            Field("refused_for"),
            HTML("</details>"),
            *([Field("reason")] if self.has_findings else []),
        ]

    def clean_photos(self) -> list[Any]:
        """Refuse more photos than a phone sends in one go."""
        photos: list[Any] = self.cleaned_data["photos"]
        if len(photos) > MOST_PHOTOS:
            raise ValidationError(f"Send at most {MOST_PHOTOS} photos at a time.")
        return photos

    def clean(self) -> dict[str, Any]:
        """Ask for what an exception or a refusal needs, and only for that."""
        cleaned = super().clean() or {}
        look = cleaned.get("look")
        if look == "refused" and not cleaned.get("refused_for"):
            self.add_error("refused_for", "Choose why it is refused.")
        if cleaned.get("refused_for") == "not-ours" and not cleaned.get("kind"):
            cleaned["kind"] = "wrong"
            cleaned["severity"] = cleaned.get("severity") or "severe"
        if look in {"exception", "refused"}:
            self._ask_for_damage(cleaned)
        return cleaned

    def _ask_for_damage(self, cleaned: dict[str, Any]) -> None:
        if not cleaned.get("kind") and "kind" not in self.errors:
            self.add_error("kind", "Choose what you see, such as punctured.")
        if not cleaned.get("severity") and cleaned.get("kind") == "indicator":
            cleaned["severity"] = "slight"
        if not cleaned.get("severity") and "severity" not in self.errors:
            self.add_error("severity", "Choose slight, moderate or severe.")
        needs_side = cleaned.get("kind") not in {"wrong", "tipped", "loose"}
        if not cleaned.get("where") and needs_side and "where" not in self.errors:
            self.add_error("where", "Tap the side of the crate that shows it.")
        has_reason = cleaned.get("photos") or cleaned.get("no_photo_reason")
        if not has_reason and "photos" not in self.errors:
            self.add_error("photos", "Take a photo, or choose why there is none.")

    def damage(self) -> Damage | None:
        """Return what was seen, or None for a clear crate."""
        cleaned = self.cleaned_data
        if cleaned["look"] == "clear":
            return None
        order = list(claim_words.FACES)
        return Damage(
            kind=cleaned["kind"],
            severity=cleaned["severity"],
            faces=tuple(sorted(cleaned["where"], key=order.index)),
            note=cleaned["note"],
        )


class ClearRestForm(HouseForm):
    """Say that the rest are clear; the number that was seen goes along."""

    count = CountField(
        label="How many", least=1, missing="Open the list again and count."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["count"].widget = forms.HiddenInput()


class SignForm(PhotoFormMixin, StaleForm):
    """Sign the receipt: how, by whom, and on whose copies our words stand."""

    act = "Sign the receipt"

    how_signed = PickField(
        label="How it is signed",
        words=words.HOW_SIGNED,
        missing="Choose how the receipt is signed.",
        as_rows=True,
    )
    driver_signed_name = LineField(label="Driver's name as signed", most=80)
    words_stand_on = PickField(
        label="Our words stand on",
        words=words.WORDS_STAND_ON,
        missing="Choose on whose copies our words stand.",
        as_rows=True,
    )
    photo = PhotoField(label="Photo of the signed receipt", camera=True)
    no_photo_reason = PickField(
        label="No photo, because", words=NO_PHOTO, empty="A photo is here"
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _mark_conditional(self, "driver_signed_name", "photo", "no_photo_reason")

    def rows(self) -> list[Any]:
        """Return the signature in the order in which it happens."""
        return [
            Field("version"),
            Field("client_id"),
            Field("how_signed"),
            Field("driver_signed_name"),
            Field("words_stand_on"),
            Field("photo", data_previews="pictures"),
            Field("no_photo_reason"),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for the driver's name where he signed, and a photo or a reason."""
        cleaned = super().clean() or {}
        is_signed = cleaned.get("how_signed") == "signed"
        if is_signed and not cleaned.get("driver_signed_name"):
            self.add_error("driver_signed_name", "Write the name of the driver.")
        has_reason = cleaned.get("photo") or cleaned.get("no_photo_reason")
        if not has_reason and "photo" not in self.errors:
            self.add_error(
                "photo", "Photograph the signed receipt, or choose why there is none."
            )
        return cleaned


class NoteForm(HouseForm):
    """Lay a note beside a signed receipt."""

    act = "Lay the note beside it"

    text = TextField(
        label="What is to be added or put right",
        most=2000,
        missing="Write what is to be added or put right.",
        rows=5,
    )


class ImageForm(PhotoFormMixin, StaleForm):
    """Say whether our words stand on the carrier's own image of the receipt."""

    act = "Save the comparison"

    photo = PhotoField(label="The carrier's image, as a picture or PDF")
    result = PickField(
        label="On the carrier's image",
        words={k: v for k, v in words.CARRIER_IMAGE.items() if k != "awaited"},
        missing="Choose whether our words are on it.",
        as_rows=True,
    )

    def rows(self) -> list[Any]:
        """Return the image, then what it shows."""
        return [
            Field("version"),
            Field("client_id"),
            Field("photo", data_previews="pictures"),
            Field("result"),
        ]


class DispositionForm(StaleForm):
    """Say what becomes of a refused crate."""

    act = "Save what becomes of it"

    disposition = PickField(
        label="What becomes of it",
        words={k: v for k, v in words.DISPOSITIONS.items() if k},
        missing="Choose what becomes of it.",
        as_rows=True,
    )

    def rows(self) -> list[Any]:
        """Return the choice alone."""
        return [Field("version"), Field("disposition")]
