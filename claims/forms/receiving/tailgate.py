"""Forms for a truck at the dock: the inspection of its crates."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field
from django import forms

from claims.rules.core import vocabulary as claim_words
from claims.rules.receiving.receipt_words import Damage
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.layout import Folded
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField
from inventory.rules.core import vocabulary as words

NO_PHOTO = {
    "driver would not wait": "Driver would not wait",
    "no camera at hand": "No camera here",
    "too dark to see": "Too dark to see",
}
LOOKS = {key: label for key, label in words.LOOKS.items() if key}
USUAL_KINDS = ("punctured", "crushed", "broken", "torn", "wet", "leaking")
KINDS_FIRST = len(USUAL_KINDS)
_NOT_OUTSIDE = {"short", "over", "defect", "missing"}
KINDS = {key: claim_words.DAMAGE_KINDS[key].capitalize() for key in USUAL_KINDS} | {
    key: label.capitalize()
    for key, label in claim_words.DAMAGE_KINDS.items()
    if key not in _NOT_OUTSIDE and key not in USUAL_KINDS
}
"""What is seen from outside, the usual damage first."""
SEVERITIES = {key: label.capitalize() for key, label in claim_words.SEVERITIES.items()}
CHIPS = "dock/layout/chips.html"
NOTHING_TAPPED = (
    "Nothing was saved. Press No visible damage, or tap the side with the damage."
)
BOTH_SAID = (
    "You tapped a damage, and No visible damage. Nothing was saved. Save the "
    "exception, or open the crate again."
)


def _mark_conditional(form: forms.Form, *names: str) -> None:
    """Mark fields that a choice asks for, so that they do not say "optional"."""
    for name in names:
        field: Any = form.fields[name]
        field.is_conditional = True


class LookForm(StaleForm):
    """Inspect a crate: no visible damage, exception or refused, and the damage.

    The button says which. Where none does, a side or a damage means exception.
    """

    act = "Save"
    creates = True

    photos = PhotosField(label="Photos", camera=True)
    look = PickField(label="Inspection", words=LOOKS, widget=forms.HiddenInput)
    where = forms.MultipleChoiceField(
        label="Where is the damage?",
        choices=list(claim_words.FACES.items()),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        error_messages={"invalid_choice": "Tap a side of the drawing."},
    )
    kind = PickField(label="Damage", words=KINDS, as_rows=True)
    severity = PickField(label="Severity", words=SEVERITIES, as_rows=True)
    note = LineField(
        label="Note",
        most=300,
        attrs={"data-counts": "300", "placeholder": "Such as: corner stove in, 12 in"},
    )
    no_photo_reason = PickField(label="Why no photo?", words=NO_PHOTO, as_rows=True)
    refused_for = PickField(
        label="Why refused?", words=words.REFUSALS_OFFERED, as_rows=True
    )
    reason = LineField(
        label="Why no visible damage after all?",
        most=300,
        help_text="Only to take back the exception on this crate.",
    )

    def __init__(self, *args: Any, has_findings: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.has_findings = has_findings
        _mark_conditional(self, "where", "kind", "severity", "photos", "refused_for")
        _mark_conditional(self, "no_photo_reason", "reason")
        kind: Any = self.fields["kind"]
        kind.first = KINDS_FIRST
        if not has_findings:
            del self.fields["reason"]

    @property
    def helper(self) -> FormHelper:
        """Return the helper without tag and button: the page has three of them."""
        helper = super().helper
        helper.form_tag = False
        helper.inputs = []
        return helper

    def rows(self) -> list[Any]:
        """Return the camera, then the crate, then the damage as a clerk sees it."""
        return [
            Field("version"),
            *([Field("reason")] if self.has_findings else []),
            Field("photos", data_previews="pictures"),
            Field("where", template="dock/layout/crate_faces.html"),
            Field("kind", template=CHIPS),
            Field("severity", template=CHIPS, wrapper_class="segmented"),
            Field("note"),
            Folded("No photo?", Field("no_photo_reason", template=CHIPS)),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for what an exception or a refusal needs, and only for that."""
        cleaned = super().clean() or {}
        is_damaged = any(cleaned.get(name) for name in ("where", "kind", "severity"))
        if not cleaned.get("look") and "look" not in self.errors and is_damaged:
            cleaned["look"] = "exception"
        look = cleaned.get("look")
        if not look and "look" not in self.errors:
            self.add_error(None, NOTHING_TAPPED)
        if look == "clear" and is_damaged:
            self.add_error(None, BOTH_SAID)
        if look == "refused" and not cleaned.get("refused_for"):
            self.add_error("refused_for", "Choose the reason for refusing it.")
        if cleaned.get("refused_for") == "not-ours" and not cleaned.get("kind"):
            cleaned["kind"] = "wrong"
            cleaned["severity"] = cleaned.get("severity") or "severe"
        if look in {"exception", "refused"}:
            self._ask_for_damage(cleaned)
        return cleaned

    def _ask_for_damage(self, cleaned: dict[str, Any]) -> None:
        if not cleaned.get("kind") and "kind" not in self.errors:
            self.add_error("kind", "Choose one, such as punctured.")
        if not cleaned.get("severity") and cleaned.get("kind") == "indicator":
            cleaned["severity"] = "slight"
        if not cleaned.get("severity") and "severity" not in self.errors:
            self.add_error("severity", "Choose minor, moderate or severe.")
        needs_side = cleaned.get("kind") not in {"wrong", "tipped", "loose"}
        if not cleaned.get("where") and needs_side and "where" not in self.errors:
            self.add_error("where", "Tap the side of the crate with the damage.")
        has_reason = cleaned.get("photos") or cleaned.get("no_photo_reason")
        if not has_reason and "photos" not in self.errors:
            self.add_error("photos", "Take a photo, or choose why there is no photo.")

    def damage(self) -> Damage | None:
        """Return the damage, or None for no visible damage."""
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
    """Record no visible damage on the rest, with the number shown."""

    count = CountField(
        label="Crates", least=1, missing="Open the list again and count."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["count"].widget = forms.HiddenInput()


class TestTruckForm(HouseForm):
    """Start a truck for practice."""

    act = "Start the test truck"
    creates = True

    __test__ = False  # its name begins like a test's
