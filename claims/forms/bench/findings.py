"""Forms that tell one thing wrong, and change what was told."""

from typing import Any

from crispy_forms.layout import HTML, Field, Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.html import format_html

from claims.actions.bench.words import FindingWords, PartNeeded
from claims.forms.bench.fields import HoursField
from claims.forms.bench.inspections import (
    CRATE_CONDITIONS,
    SomePhotosMixin,
    call_not_optional,
)
from claims.models import Finding
from claims.rules.core import vocabulary as words
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.forms.evidence.photos import PhotoField
from inventory.models import Evidence
from inventory.rules.reckoning.moments import dock_time

PART_ROWS = 4

_IF_ASKED = ("pieces", "could_be_seen", "seen_reason")
"""Fields that another answer calls for: they are not called optional."""

SEEN = {"yes": "Yes", "no": "No"}


class KeptPhotosField(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """Photos that were kept before; cleans to a list of their rows."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            queryset=Evidence.objects.none(),
            required=False,
            widget=forms.CheckboxSelectMultiple,
            **kwargs,
        )

    def clean(self, value: Any) -> Any:
        """Return the rows; whatever was not shown is one and the same mistake."""
        try:
            return super().clean(value)
        except ValidationError as error:
            raise ValidationError("Choose photos from those shown.") from error

    def label_from_instance(self, obj: Evidence) -> str:
        """Name a photo by what it shows and when it was received."""
        what = obj.caption or obj.get_kind_display()
        return format_html(
            '<img src="{}" alt="" width="96" loading="lazy"> {}, {}',
            reverse("photo", args=[obj.pk, 320]),
            what,
            dock_time(obj.received_at, obj.location.zone, None),
        )


class FindingForm(SomePhotosMixin, HouseForm):
    """Tell one thing wrong: what was seen, and apart from it what you think."""

    act = "Record the finding"

    part = LineField(label="Part", most=80, help_text="Such as: deck shell, left rim.")
    faces = forms.MultipleChoiceField(
        label="Where on the crate",
        choices=list(words.FACES.items()),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Tap every side that shows it. Side 1 carries the label.",
        error_messages={"invalid_choice": "Tap one of the sides drawn."},
    )
    damage_kind = PickField(
        label="What is wrong",
        words=words.DAMAGE_KINDS,
        missing="Choose what is wrong, such as cracked.",
        empty="Choose what you see",
    )
    severity = PickField(
        label="How bad",
        words=words.SEVERITIES,
        missing="Choose slight, moderate or severe.",
        as_rows=True,
    )
    pieces = CountField(label="How many pieces", help_text="For short, over, missing.")
    facts = TextField(
        label="What you see",
        most=2000,
        missing="Write what you see: where, how long, how deep.",
        help_text="Facts only: measures, marks, colours, smells. No guess at the cause.",
    )
    could_be_seen = PickField(
        label="Could it have been seen at delivery?",
        words=SEEN,
        empty="As worked out from the crate and the stage",
    )
    seen_reason = LineField(label="If you say otherwise: why", most=300)
    cause = PickField(
        label="Most likely cause",
        words=words.CAUSES,
        missing="Choose the likeliest cause, or: cannot say.",
        as_rows=True,
    )
    opinion = TextField(
        label="Why you think so",
        most=2000,
        help_text="Your opinion. It stands apart from the facts.",
    )
    is_safety_part = forms.BooleanField(
        label="This is a safety part",
        required=False,
        help_text="Roll bar, fuel tank, brake, steering, blade spindle, battery pack.",
    )
    repair_minutes = HoursField(
        label="Hours to put it right", help_text="Such as 1.5 or 1:30."
    )
    photos = PhotoField(
        label="New photos",
        multiple=True,
        help_text="One from a step away, one close, one with a ruler beside it.",
    )
    kept = KeptPhotosField(label="Photos kept before that show it")

    def __init__(
        self,
        *args: Any,
        kept_photos: QuerySet[Evidence],
        asks_condition: bool,
        has_crate: bool,
        part_rows: int = PART_ROWS,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.part_numbers = range(1, part_rows + 1)
        self.asks_condition = asks_condition
        self.has_crate = has_crate
        self.has_kept = kept_photos.exists()
        kept = self.fields["kept"]
        if isinstance(kept, KeptPhotosField):
            kept.queryset = kept_photos
        if asks_condition:
            self.fields["crate_condition"] = PickField(
                label="The crate",
                words=CRATE_CONDITIONS,
                missing="Say how the crate was.",
                as_rows=True,
                help_text="As it stood before it was opened.",
            )
        if not has_crate:
            del self.fields["faces"]
        for row in self.part_numbers:
            self._add_part(row)
        call_not_optional(self, *_IF_ASKED)

    def _add_part(self, row: int) -> None:
        self.fields[f"part_{row}_name"] = LineField(label=f"Part {row}", most=120)
        self.fields[f"part_{row}_number"] = LineField(
            label="Part number", most=40, is_identifier=True
        )
        self.fields[f"part_{row}_count"] = CountField(
            label="How many", least=1, most=999
        )
        call_not_optional(self, f"part_{row}_number", f"part_{row}_count")

    def rows(self) -> list[Any]:
        """Return facts first, then the opinion, the repair and the photos."""
        hidden = [Field("version")] if "version" in self.fields else []
        crate = [Field("crate_condition")] if self.asks_condition else []
        faces = [Field("faces", template="dock/layout/crate_faces.html")]
        kept = [Field("kept")] if self.has_kept else []
        return [
            *hidden,
            Field("client_id"),
            *crate,
            Fieldset(
                "What you see",
                Field("part"),
                *(faces if self.has_crate else []),
                Row("damage_kind", "pieces"),
                Field("severity"),
                Field("facts"),
            ),
            Fieldset("Photos", Field("photos", data_previews="pictures"), *kept),
            Fieldset("What you think", Field("cause"), Field("opinion")),
            Fieldset("At delivery", Field("could_be_seen"), Field("seen_reason")),
            Fieldset(
                "Putting it right",
                Field("is_safety_part"),
                Field("repair_minutes"),
                HTML("<p class='hint'>Parts it needs. The manager prices them.</p>"),
                *self._part_rows(),
            ),
        ]

    def _part_rows(self) -> list[Any]:
        """Return one row for the first part; the others open where one is filled."""
        rows = [
            Row(f"part_{row}_name", f"part_{row}_number", f"part_{row}_count")
            for row in self.part_numbers
        ]
        filled = any(self[f"part_{row}_name"].value() for row in self.part_numbers[1:])
        wrong = any(name.startswith("part_") for name in self.errors)
        is_open = " open" if filled or wrong else ""
        opening = f"<details class='more'{is_open}><summary>More parts</summary>"
        return [rows[0], HTML(opening), *rows[1:], HTML("</details>")]

    def clean(self) -> dict[str, Any]:
        """Ask for the name of a part that has a number or a count."""
        cleaned = super().clean() or {}
        for row in self.part_numbers:
            name = f"part_{row}_name"
            rest = cleaned.get(f"part_{row}_number") or cleaned.get(f"part_{row}_count")
            if rest and not cleaned.get(name) and name not in self.errors:
                self.add_error(name, "Name the part, or leave its whole line empty.")
        answer = cleaned.get("could_be_seen")
        if cleaned.get("seen_reason") and not answer:
            self.add_error("could_be_seen", "Choose yes or no; you gave a reason.")
        return cleaned

    def told(self) -> FindingWords:
        """Return what was told."""
        cleaned = self.cleaned_data
        order = list(words.FACES)
        return FindingWords(
            damage_kind=cleaned["damage_kind"],
            severity=cleaned["severity"],
            facts=cleaned["facts"],
            part=cleaned["part"],
            faces=tuple(sorted(cleaned.get("faces", ()), key=order.index)),
            pieces=cleaned["pieces"],
            cause=cleaned["cause"],
            opinion=cleaned["opinion"],
            is_safety_part=cleaned["is_safety_part"],
            repair_minutes=cleaned["repair_minutes"],
            parts=self._parts(),
            could_be_seen={"yes": True, "no": False}.get(cleaned["could_be_seen"]),
            seen_reason=cleaned["seen_reason"],
        )

    def _parts(self) -> tuple[PartNeeded, ...]:
        cleaned = self.cleaned_data
        return tuple(
            PartNeeded(
                description=cleaned[f"part_{row}_name"],
                quantity=cleaned[f"part_{row}_count"] or 1,
                part_number=cleaned[f"part_{row}_number"],
            )
            for row in self.part_numbers
            if cleaned[f"part_{row}_name"]
        )


class EditFindingForm(FindingForm, StaleForm):
    """Change what was told of a finding, and add photos to it."""

    act = "Save the changes"


def initial_of(finding: Finding) -> dict[str, Any]:
    """Return what the edit form shows of a finding as it stands; parts loaded."""
    names = ["version", "part", "damage_kind", "severity", "pieces", "facts", "cause"]
    more = ["opinion", "is_safety_part", "repair_minutes"]
    initial: dict[str, Any] = {n: getattr(finding, n) for n in [*names, *more]}
    initial["faces"] = [face for face in finding.faces.split(",") if face]
    if finding.could_be_seen != finding.could_be_seen_derived:
        initial["could_be_seen"] = "yes" if finding.could_be_seen else "no"
        initial["seen_reason"] = finding.could_be_seen_reason
    for row, part in enumerate(finding.parts.all(), start=1):
        initial[f"part_{row}_name"] = part.description
        initial[f"part_{row}_number"] = part.part_number
        initial[f"part_{row}_count"] = part.quantity
    return initial
