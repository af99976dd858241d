"""Forms that record a finding and change it."""

from typing import Any, ClassVar

from crispy_forms.layout import Field, Fieldset, Row
from django import forms

from claims.actions.bench.words import FindingWords, PartNeeded
from claims.forms.bench.fields import HoursField, call_not_optional
from claims.forms.bench.inspections import CRATE_CONDITIONS
from claims.forms.bench.places import PlacesField, plan_layout
from claims.models import Finding
from claims.rules.core import vocabulary as words
from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.lines import (
    Line,
    LinedForm,
    Lines,
    LinesLayout,
    lines_of,
)
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField, TextField

PART_ROWS = 6

_IF_ASKED = ("pieces", "could_be_seen", "seen_reason")
"""Fields that another answer asks for: they do not say "optional"."""

SEEN = {"yes": "Yes", "no": "No"}


class _PartLine(Line):
    """One part that the repair needs."""

    name = LineField(label="Part", most=120)
    number = LineField(label="Part number", most=40, is_identifier=True)
    count = CountField(label="Qty", least=1, most=999)

    def clean(self) -> dict[str, Any]:
        """Ask for the name of a part that has a number or a count."""
        cleaned = self.cleaned_data
        rest = cleaned.get("number") or cleaned.get("count")
        if rest and not cleaned.get("name") and "name" not in self.errors:
            self.add_error("name", "Enter the part, or leave the whole line empty.")
        return cleaned


class _PartLines(Lines):
    """The parts that the repair needs."""

    legend = "Parts"
    hint = "The manager enters the prices."
    more_words = "More parts"
    shown = 1


class FindingForm(LinedForm):
    """Record a finding: facts first, the opinion separate."""

    creates = True
    act = "Record the finding"
    line_sets_of: ClassVar[dict[str, Any]] = {
        "parts": lines_of(_PartLine, _PartLines, most=PART_ROWS)
    }

    part = LineField(label="Part", most=80, help_text="Such as: deck shell, left rim.")
    faces = forms.MultipleChoiceField(
        label="Side",
        choices=list(words.FACES.items()),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Tap every side with damage. Side 1 has the label.",
        error_messages={"invalid_choice": "Tap a side of the drawing."},
    )
    damage_kind = PickField(
        label="Damage",
        words=words.DAMAGE_KINDS,
        missing="Choose one, such as cracked.",
        empty="Choose one",
    )
    severity = PickField(
        label="Severity",
        words={key: said.capitalize() for key, said in words.SEVERITIES.items()},
        missing="Choose minor, moderate or severe.",
        as_rows=True,
    )
    pieces = CountField(
        label="Pieces", help_text="Only for short, over or part missing."
    )
    facts = TextField(
        label="Facts",
        most=2000,
        missing="Enter what you see: where, how long, how deep.",
        help_text="Only what you see: measurements, marks, colors, smells. No cause.",
    )
    could_be_seen = PickField(
        label="Could it be seen at delivery?",
        words=SEEN,
        empty="By crate and stage",
    )
    seen_reason = LineField(label="Reason for your own answer", most=300)
    cause = PickField(
        label="Likely cause",
        words=words.CAUSES,
        missing="Choose one. Choose Not known where the facts do not show it.",
        as_rows=True,
    )
    opinion = TextField(
        label="Why do you think so?",
        most=2000,
        help_text="Your opinion, separate from the facts.",
    )
    is_safety_part = forms.BooleanField(
        label="Safety part",
        required=False,
        help_text="ROPS, seat belt, fuel tank, brake, steering, blade spindle, battery pack.",
    )
    repair_minutes = HoursField(label="Labor, hours", help_text="Such as 1.5 or 1:30.")
    photos = PhotosField(
        label="Photos",
        offers_earlier=True,
        help_text="One from a step away, one close-up, one with a ruler. Check the "
        "saved photos that show it too.",
    )

    def __init__(
        self,
        *args: Any,
        asks_condition: bool = False,
        has_sides: bool = False,
        plan: str = "",
        **kwargs: Any,
    ) -> None:
        """Ask for the sides of the crate, and for places on a machine of kind ``plan``."""
        super().__init__(*args, **kwargs)
        self.asks_condition = asks_condition
        self.where = ["faces"] if has_sides else []
        if plan:
            marked = self.initial.get("places", ())
            self.fields["places"] = PlacesField(kind=plan, marked=marked)
            self.where.append("places")
        if asks_condition:
            self.fields["crate_condition"] = PickField(
                label="Crate condition",
                words=CRATE_CONDITIONS,
                missing="Choose one.",
                as_rows=True,
                help_text="Before it was opened.",
            )
        if not has_sides:
            del self.fields["faces"]
        call_not_optional(self, *_IF_ASKED)

    def rows(self) -> list[Any]:
        """Return facts first, then the opinion, the repair and the photos."""
        hidden = [Field("version")] if "version" in self.fields else []
        crate = [Field("crate_condition")] if self.asks_condition else []
        where = {
            "faces": Field("faces", template="dock/layout/crate_faces.html"),
            "places": plan_layout(),
        }
        return [
            *hidden,
            *crate,
            Fieldset(
                "Facts",
                Field("part"),
                *(where[name] for name in self.where),
                Row("damage_kind", "pieces"),
                Field("severity"),
                Field("facts"),
            ),
            Fieldset("Photos", Field("photos", data_previews="pictures")),
            Fieldset("Opinion", Field("cause"), Field("opinion")),
            Fieldset("At delivery", Field("could_be_seen"), Field("seen_reason")),
            Fieldset(
                "Repair estimate",
                Field("is_safety_part"),
                Field("repair_minutes"),
            ),
            LinesLayout(self.line_sets["parts"]),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for the answer that a reason was given for."""
        cleaned = super().clean()
        answer = cleaned.get("could_be_seen")
        if cleaned.get("seen_reason") and not answer:
            self.add_error("could_be_seen", "Choose yes or no for the reason you gave.")
        return cleaned

    def finding_words(self) -> FindingWords:
        """Return the finding as entered."""
        cleaned = self.cleaned_data
        order = list(words.FACES)
        return FindingWords(
            damage_kind=cleaned["damage_kind"],
            severity=cleaned["severity"],
            facts=cleaned["facts"],
            part=cleaned["part"],
            faces=tuple(sorted(cleaned.get("faces", ()), key=order.index)),
            places=tuple(cleaned.get("places", ())),
            pieces=cleaned["pieces"],
            cause=cleaned["cause"],
            opinion=cleaned["opinion"],
            is_safety_part=cleaned["is_safety_part"],
            repair_minutes=cleaned["repair_minutes"],
            parts=tuple(
                PartNeeded(one["name"], one["count"] or 1, one["number"])
                for one in self.line_sets["parts"].typed()
            ),
            could_be_seen={"yes": True, "no": False}.get(cleaned["could_be_seen"]),
            seen_reason=cleaned["seen_reason"],
        )


class EditFindingForm(FindingForm, StaleForm):
    """Change a finding, and add photos to it."""

    creates = False
    act = "Save"


def initial_of(finding: Finding) -> dict[str, Any]:
    """Return what the edit form shows of a finding; its parts are loaded."""
    names = ["version", "part", "damage_kind", "severity", "pieces", "facts", "cause"]
    more = ["opinion", "is_safety_part", "repair_minutes"]
    initial: dict[str, Any] = {n: getattr(finding, n) for n in [*names, *more]}
    initial["places"] = finding.places
    initial["faces"] = [face for face in finding.faces.split(",") if face]
    if finding.could_be_seen != finding.could_be_seen_derived:
        initial["could_be_seen"] = "yes" if finding.could_be_seen else "no"
        initial["seen_reason"] = finding.could_be_seen_reason
    initial["parts"] = [
        {"name": one.description, "number": one.part_number, "count": one.quantity}
        for one in finding.parts.all()
    ]
    return initial
