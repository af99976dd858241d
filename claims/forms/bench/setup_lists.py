"""The form for the next version of a setup list."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, ClassVar

from django import forms

from claims.rules.bench.cautions import BY_KEY as CAUTIONS
from claims.rules.bench.list_edits import READING_WORDS, READINGS, reading_key
from claims.rules.bench.setup_lines import SetupLine
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.lines import Line, LinedForm, Lines, LinesLayout
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.text_fields import LineField

MOST_LINES = 60
NEW_LINES = 3

_CAUTION_WORDS = {key: one.about for key, one in CAUTIONS.items()}


class ListLine(Line):
    """One line of the list: its words, its caution, what is read, and its place."""

    named = "label"
    laid_out = (
        ("label", "place"),
        ("hint",),
        ("caution", "reads"),
        ("never_open", "always", "drop"),
    )

    key = forms.CharField(required=False, widget=forms.HiddenInput)
    label = LineField(label="Line", most=80, required=False)
    hint = LineField(label="What to do", most=240, required=False)
    caution = PickField(
        label="Caution", words=_CAUTION_WORDS, empty="None", required=False
    )
    reads = PickField(
        label="What is read", words=READING_WORDS, empty="Nothing", required=False
    )
    place = CountField(label="Place on the list", least=1, most=999)
    never_open = forms.BooleanField(label="Safety line", required=False)
    always = forms.BooleanField(label="Cannot be N/A", required=False)
    drop = forms.BooleanField(label="Leave out", required=False)

    @property
    def is_filled(self) -> bool:
        """Return whether the line says anything."""
        return bool(self["label"].value())

    @property
    def is_out(self) -> bool:
        """Return whether the line is left out."""
        return bool(self["drop"].value())

    def clean(self) -> dict[str, Any]:
        """Ask for the words of a line that stays."""
        cleaned = super().clean() or {}
        said = cleaned.get("hint") or cleaned.get("reads") or cleaned.get("key")
        if said and not cleaned.get("label") and not cleaned.get("drop"):
            self.add_error("label", "Enter its words, or check Leave out.")
        return cleaned


class ListLines(Lines):
    """The lines of one list."""

    legend = "Lines"


class SetupListForm(LinedForm):
    """Make the next version of a setup list."""

    creates = True
    act = "Save as the next version"
    line_sets_of: ClassVar[dict[str, Any]] = {
        "line": forms.formset_factory(
            ListLine,
            formset=ListLines,
            extra=NEW_LINES,
            max_num=MOST_LINES,
            absolute_max=2 * MOST_LINES,
        )
    }

    base = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    reason = LineField(label="Why", most=300, missing="Enter why the list changes.")

    def rows(self) -> list[Any]:
        """Return the lines, then the reason."""
        lines = LinesLayout(self.line_sets["line"])
        lines.template = "claims/bench/list_lines.html"
        return ["base", lines, "reason"]

    def lines(self, standing: Mapping[str, SetupLine]) -> list[SetupLine]:
        """Return the list as edited, in the order of the places typed.

        ``standing`` are the lines that are known by key: what is not edited stays.
        """
        typed = [
            row
            for row in self.line_sets["line"].typed()
            if row["label"] and not row["drop"]
        ]
        last = MOST_LINES * 1000
        typed.sort(key=lambda row: last if row["place"] is None else row["place"])
        return [_line(row, standing) for row in typed]


def _line(row: Mapping[str, Any], standing: Mapping[str, SetupLine]) -> SetupLine:
    known = standing.get(row["key"], SetupLine("", "", ""))
    return replace(
        known,
        label=row["label"],
        hint=row["hint"],
        caution=row["caution"],
        readings=READINGS.get(row["reads"]),
        never_open=row["never_open"],
        always=row["always"],
    )


def lines_shown(
    standing: Sequence[SetupLine], out: Sequence[SetupLine]
) -> list[dict[str, Any]]:
    """Return what a fresh form shows: the standing lines, then those left out."""
    rows = [*((one, False) for one in standing), *((one, True) for one in out)]
    return [
        {
            "key": line.key,
            "label": line.label,
            "hint": line.hint,
            "caution": line.caution,
            "reads": reading_key(line),
            "place": number * 10,
            "never_open": line.never_open,
            "always": line.always,
            "drop": is_out,
        }
        for number, (line, is_out) in enumerate(rows, start=1)
    ]
