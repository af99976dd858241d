"""Forms of the bench: opening a crate, inspecting a machine, releasing a hold."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Fieldset, Submit

from claims.actions.bench.inspections import LookTaken
from claims.forms.bench.fields import call_not_optional
from claims.rules.bench.checklists import RESULTS, Look, looks_at
from claims.rules.core.vocabulary import CONDITIONS
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import TextField
from inventory.rules.core.vocabulary import HOLD_RELEASES

CRATE_CONDITIONS = {key: text for key, text in CONDITIONS.items() if key != "none"}


class OpenCrateForm(HouseForm):
    """Record that a crate is opened, with photos."""

    act = "Record as opened"

    photos = PhotosField(
        label="Photos",
        help_text="All sides of the closed crate, labels and indicators, then each "
        "layer.",
    )

    def rows(self) -> list[Any]:
        """Return the photos."""
        return [Field("photos", data_previews="pictures")]


class InspectForm(HouseForm):
    """Inspect a machine: each point of the stage's list."""

    creates = True
    act = "Save"

    note = TextField(label="Note", most=2000)

    def __init__(self, *args: Any, stage: str, has_crate: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stage = stage
        self.has_crate = has_crate
        self.looks = looks_at(stage)
        if has_crate:
            self.fields["crate_condition"] = PickField(
                label="Crate condition",
                words=CRATE_CONDITIONS,
                missing="Choose one.",
                as_rows=True,
                help_text="Before it was opened.",
            )
        for look in self.looks:
            self._add(look)
        call_not_optional(self, *(f"look_{look.key}" for look in self.looks))

    def _add(self, look: Look) -> None:
        self.fields[f"look_{look.key}"] = PickField(
            label=look.label, words=RESULTS, as_rows=True, help_text=look.hint
        )

    def rows(self) -> list[Any]:
        """Return the crate, then the points in the order of the list."""
        crate = [Field("crate_condition")] if self.has_crate else []
        looks = [
            Field(f"look_{look.key}", wrapper_class="abreast") for look in self.looks
        ]
        return [*crate, Fieldset("Inspect", *looks), Field("note")]

    @property
    def helper(self) -> FormHelper:
        """Add the second button: save, and mark every other point right."""
        helper = super().helper
        helper.add_input(
            Submit("rest", "Mark the rest right and save", css_class="btn-plain")
        )
        return helper

    def clean(self) -> dict[str, Any]:
        """Ask for at least one point or a note."""
        cleaned = super().clean() or {}
        looked = any(cleaned.get(f"look_{look.key}") for look in self.looks)
        if not (looked or cleaned.get("note") or self._rest_is_right()):
            self.add_error(
                None,
                "No point is marked. Nothing was saved. Mark what you inspected, or "
                "mark the rest right.",
            )
        return cleaned

    def _rest_is_right(self) -> bool:
        return "rest" in self.data

    def looks_taken(self) -> list[LookTaken]:
        """Return the result of each point; a point not inspected is left out."""
        rest = "right" if self._rest_is_right() else ""
        results = {
            look.key: self.cleaned_data[f"look_{look.key}"] or rest
            for look in self.looks
        }
        return [LookTaken(key, result) for key, result in results.items() if result]

    def not_right(self) -> list[str]:
        """Return the labels of the points that are not right."""
        return [
            look.label
            for look in self.looks
            if self.cleaned_data[f"look_{look.key}"] == "wrong"
        ]


class ReleaseHoldForm(HouseForm):
    """Release a hold, in one of three ways."""

    act = "Release the hold"

    how = PickField(
        label="Why can it be released?",
        words=HOLD_RELEASES,
        missing="Choose one.",
        as_rows=True,
    )
    reason = TextField(
        label="Reason",
        most=1000,
        missing="Enter who inspected or decided, and when.",
        help_text="Who inspected or decided, and when.",
    )
    photos = PhotosField(
        label="Waiver, report, or photos of the damage",
        help_text="A waiver must be added here. The manager's own release needs photos "
        "of the damage as it is now.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        call_not_optional(self, "photos")

    def rows(self) -> list[Any]:
        """Return how, why and the proof."""
        return [
            Field("how"),
            Field("reason"),
            Field("photos", data_previews="pictures"),
        ]
