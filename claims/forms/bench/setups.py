"""Forms of a setup: begin it, read a line, decide on it, sign the machine off."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError
from django.template.context import Context
from django.template.loader import render_to_string

from claims.actions.bench.line_readings import LineTaken
from claims.forms.bench.fields import call_not_optional
from claims.forms.bench.places import PlacesField, plan_layout
from claims.queries.bench.line_drawings import Drawings
from claims.rules.bench.adjusting import SIGNS
from claims.rules.bench.checklists import RESULTS
from claims.rules.bench.decisions import DECISIONS
from claims.rules.bench.readings import POINTS
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.setup_lists import KINDS
from claims.rules.bench.sign_off import OpenItem
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.rules.reckoning.measures import MeasureError
from inventory.rules.reckoning.quantities import parse_quantity

KIND_WORDS = {key: kind.label for key, kind in KINDS.items()}


class BeginSetupForm(HouseForm):
    """Begin the setup of a machine by the list of its kind."""

    creates = True
    act = "Begin setup"

    kind = PickField(
        label="Kind of machine", words=KIND_WORDS, missing="Choose one.", as_rows=True
    )


class QuantityField(LineField):
    """A reading as the tape or the gauge shows it; gives the text, checked."""

    def __init__(self, *, unit: str, **options: Any) -> None:
        self.unit = unit
        super().__init__(most=40, **options)
        self.widget.attrs |= {"class": "short", "autocomplete": "off"}
        if unit == "in":
            self.widget.attrs["data-step"] = "1/16"

    def clean(self, value: Any) -> str:
        """Return the text as typed, where it is a reading."""
        text = str(super().clean(value))
        if text:
            try:
                parse_quantity(text, self.unit)
            except MeasureError as error:
                raise ValidationError(str(error)) from error
        return text


class WheelsLayout:
    """The plan of the machine between the fields of its four wheels."""

    template = "claims/bench/wheels.html"

    def render(self, _form: Any, context: Context, **_more: Any) -> str:
        """Return the plan as HTML; the page gives its ``drawings``."""
        return render_to_string(self.template, {"drawings": context.get("drawings")})


def _said(drawings: Drawings, point: str) -> str:
    last = drawings.points.get(point)
    return last.said if last else ""


class LineForm(HouseForm):
    """Read one line: its readings or its result, what is wrong, photos in place."""

    creates = True
    act = "Save and go on"

    note = TextField(label="Note", most=1000)
    photos = PhotosField(label="Photos")
    confirmed = forms.BooleanField(
        label="I read it again, and it is right as typed", required=False
    )

    def __init__(
        self,
        *args: Any,
        line: SetupLine,
        plan: str,
        drawings: Drawings,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.line = line
        self.doubts: Mapping[str, str] = {}
        self.points = line.readings.points if line.readings else ()
        for point in self.points:
            unit = line.readings.unit if line.readings else ""
            self.fields[f"reading_{point}"] = QuantityField(
                label=POINTS[point].label + ("" if drawings.wheels else f", {unit}"),
                unit=unit,
                help_text=_said(drawings, point) or (unit if drawings.wheels else ""),
            )
        self.off = {point for point, one in drawings.points.items() if one.is_off}
        self.has_wheels = bool(drawings.wheels)
        results = {key: words for key, words in RESULTS.items() if key != "absent"}
        self.fields["result"] = PickField(
            label="Result", words=results if line.always else RESULTS, as_rows=True
        )
        if line.asks_serial:
            self.fields["serial"] = LineField(
                label="As on the plate", most=60, is_identifier=True
            )
        self.fields["signs"] = forms.MultipleChoiceField(
            label="What is wrong?",
            choices=list(SIGNS.items()),
            widget=forms.CheckboxSelectMultiple,
            required=False,
        )
        self.fields["places"] = PlacesField(kind=plan)
        call_not_optional(
            self,
            "result",
            "signs",
            "places",
            *(f"reading_{point}" for point in self.points),
        )

    def rows(self) -> list[Any]:
        """Return the readings, the result, then what opens where it is not right."""
        fields: list[Any] = [
            Field(f"reading_{one}", wrapper_class="off" if one in self.off else "")
            for one in self.points
        ]
        css = "pair"
        if self.has_wheels:
            fields.insert(1, WheelsLayout())
            css = "pair wheels"
        pairs = [Row(*fields, css_class=css)] if fields else []
        confirm = (
            [Field("confirmed")] if self.doubts or "confirmed" in self.data else []
        )
        serial = [Field("serial")] if self.line.asks_serial else []
        return [
            *pairs,
            *confirm,
            *serial,
            Field("result", wrapper_class="abreast"),
            Fieldset(
                "What is not right",
                Field("signs", wrapper_class="abreast wide"),
                plan_layout(),
                css_class="if-wrong",
            ),
            Field("photos", data_previews="pictures"),
            Field("note"),
        ]

    def ask_again(self, doubts: Mapping[str, str]) -> None:
        """Show the questions at their readings, with the box that confirms them."""
        self.doubts = doubts
        for point, question in doubts.items():
            self.add_error(f"reading_{point}", question)

    def taken(self) -> LineTaken:
        """Return the line as typed."""
        cleaned = self.cleaned_data
        return LineTaken(
            line=self.line.key,
            result=cleaned["result"],
            readings={
                point: cleaned[f"reading_{point}"]
                for point in self.points
                if cleaned[f"reading_{point}"]
            },
            serial=cleaned.get("serial", ""),
            signs=tuple(cleaned["signs"]),
            places=tuple(cleaned["places"]),
            note=cleaned["note"],
            confirmed=cleaned["confirmed"],
        )


class DecideForm(HouseForm):
    """Decide on a line that is not right: adjustment, or ask. Damage has its own page."""

    creates = True
    act = "Save the decision"

    decision = PickField(
        label="Decision",
        words={key: words for key, words in DECISIONS.items() if key != "damage"},
        missing="Choose one, or record the damage.",
        as_rows=True,
    )
    reason = LineField(label="Why", most=300)


class SignOffForm(HouseForm):
    """Sign off a setup; each line that may stay open asks who sees to it, and by when."""

    creates = True
    act = "Sign off"

    def __init__(
        self, *args: Any, lines: Sequence[SetupLine], today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.lines = tuple(lines)
        for line in self.lines:
            self.fields[f"who_{line.key}"] = LineField(label="Who sees to it?", most=80)
            self.fields[f"by_{line.key}"] = by = DayField(
                label="By", required=False, too_late="Enter a day within a year."
            )
            by.earliest, by.latest = today, today.replace(year=today.year + 1, day=1)
            self.fields[f"what_{line.key}"] = LineField(label="What is left", most=120)

    def rows(self) -> list[Any]:
        """Return one group for each line that may stay open."""
        return [
            Fieldset(
                line.label,
                Row(f"who_{line.key}", f"by_{line.key}"),
                Field(f"what_{line.key}"),
            )
            for line in self.lines
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for the person where there is a day, and for the day where a person."""
        cleaned = super().clean() or {}
        for line in self.lines:
            who, by = cleaned.get(f"who_{line.key}"), cleaned.get(f"by_{line.key}")
            if who and not by and f"by_{line.key}" not in self.errors:
                self.add_error(f"by_{line.key}", "Enter a day.")
            if by and not who:
                self.add_error(f"who_{line.key}", "Enter who sees to it.")
        return cleaned

    def items(self) -> list[OpenItem]:
        """Return the open items as named."""
        cleaned = self.cleaned_data
        return [
            OpenItem(
                line.key,
                cleaned[f"what_{line.key}"],
                cleaned[f"who_{line.key}"],
                cleaned[f"by_{line.key}"],
            )
            for line in self.lines
            if cleaned[f"who_{line.key}"]
        ]


class ReleaseUnsignedForm(HouseForm):
    """Release a machine without a sign-off."""

    creates = True
    act = "Release without sign-off"

    reason = TextField(label="Reason", most=1000, missing="Enter the reason.")
