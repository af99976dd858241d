"""The form of a crate type: its build, its sizes, its parts, how it comes apart."""

from collections.abc import Iterable
from typing import Any, ClassVar

from crispy_forms.layout import Field, Fieldset, Row
from django.core.exceptions import ValidationError

from inventory.actions.crates.types import PartListed
from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.lines import (
    Line,
    LinedForm,
    Lines,
    LinesLayout,
    lines_of,
)
from inventory.forms.core.measure_fields import LengthField, length_of
from inventory.forms.core.number_fields import CountField, MassField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.models import CrateType
from inventory.rules.codes import gs1
from inventory.rules.core import vocabulary
from inventory.rules.crates import words as crate_words
from inventory.rules.reckoning.measures import (
    LENGTH_UNITS,
    format_figure,
    format_length,
)

SIZES = {
    "length": "Length",
    "width": "Width",
    "height": "Height",
    "nested_height": "Height when folded or nested",
}
MOST_PARTS = 40


class PartLine(Line):
    """One kind of part, and how many of it are required."""

    name = LineField(label="Part", most=40)
    count = CountField(label="Number required", least=1, most=200)

    def clean(self) -> dict[str, Any]:
        """Ask for the other half of a line that is half filled in."""
        self.require_whole(
            {
                "count": "Enter how many are required.",
                "name": "Enter the name of the part, or clear the number.",
            }
        )
        return self.cleaned_data


class PartLines(Lines):
    """The parts list of a crate type."""

    legend = "Parts list"
    hint = "Panels, base, lid, brackets, hardware bag: one line for each kind."
    more_words = "More parts"
    shown = 4

    def clean(self) -> None:
        """Refuse a part that is listed twice."""
        seen: set[str] = set()
        for line in self.forms:
            name = (line.cleaned_data.get("name") or "").lower()
            if name in seen:
                line.add_error("name", "This part is already listed. Change that line.")
            seen |= {name} - {""}


class CrateTypeForm(LinedForm):
    """Add a type of crate."""

    act = "Add the crate type"
    creates = True
    line_sets_of: ClassVar[dict[str, Any]] = {
        "part": lines_of(PartLine, PartLines, most=MOST_PARTS)
    }

    name = LineField(label="Name", most=60, missing="Enter a name for this type.")
    code = LineField(label="Supplier's code", most=40, is_identifier=True)
    build = PickField(
        label="Build", words=crate_words.CRATE_BUILDS, missing="Choose one."
    )
    kept_by = PickField(
        label="How the supplier tracks it",
        words=crate_words.KEPT_BY,
        missing="Choose one.",
        as_rows=True,
    )
    grai = LineField(
        label="GRAI of the type",
        most=20,
        is_identifier=True,
        help_text="Global Returnable Asset Identifier, 13 or 14 digits, no serial.",
    )
    size_unit = PickField(
        label="Unit of size", words=LENGTH_UNITS, missing="Choose inches or mm."
    )
    length = LengthField(label="Length", help_text="Outside dimension, such as 48 1/2.")
    width = LengthField(label="Width")
    height = LengthField(label="Height")
    nested_height = LengthField(label="Height when folded or nested")
    tare_weight = MassField(label="Empty weight")
    weight_unit = PickField(
        label="Unit of weight", words=vocabulary.MASS_UNITS, missing="Choose lb or kg."
    )
    freight_class = LineField(
        label="Freight class",
        most=5,
        is_identifier=True,
        required=False,
        help_text="The class that a carrier rates it by when it is empty, such as 150.",
    )
    most_stacked = CountField(
        label="Stack height in crates",
        least=1,
        most=20,
        help_text="1 where nothing may go on top.",
        missing="Enter how many may be stacked; 1 where nothing may go on top.",
    )
    takedown = TextField(
        label="Takedown instructions",
        most=2000,
        rows=5,
        help_text="Step by step. The general cautions are shown with them.",
    )

    def rows(self) -> Iterable[Any]:
        """Return what it is, its sizes, its parts and its takedown."""
        return [
            Fieldset(
                "Crate type",
                "name",
                Row("code", "build"),
                "kept_by",
                Field("grai", css_class="ident"),
            ),
            Fieldset(
                "Size and weight",
                "size_unit",
                Row("length", "width", "height"),
                Row("nested_height", "most_stacked"),
                Row("tare_weight", "weight_unit"),
                "freight_class",
            ),
            LinesLayout(self.line_sets["part"]),
            Fieldset("Takedown", "takedown"),
        ]

    def clean_grai(self) -> str:
        """Return the 14 digits, or say what is wrong with them."""
        text = "".join(self.cleaned_data["grai"].split())
        if not text:
            return ""
        digits = text.zfill(14)
        if not gs1.is_digits(text) or len(text) not in {13, 14} or digits[0] != "0":
            raise ValidationError(
                "Enter 13 digits, or 14 with a 0 in front. Leave out the serial: it "
                "names one crate, not the type."
            )
        due = gs1.check_digit(digits[:-1])
        if digits[-1] != due:
            raise ValidationError(
                f"The last digit should be {due}. Compare it with the label."
            )
        return digits

    def clean_freight_class(self) -> str:
        """Return the class, or say which there are."""
        text: str = self.cleaned_data["freight_class"].strip()
        if text and text not in crate_words.FREIGHT_CLASSES:
            raise ValidationError(
                f"Enter one of the classes: {', '.join(crate_words.FREIGHT_CLASSES)}."
            )
        return text

    def clean(self) -> dict[str, Any]:
        """Turn sizes into millimeters."""
        cleaned: dict[str, Any] = super().clean() or {}
        for name in SIZES:
            try:
                cleaned[f"{name}_mm"] = length_of(
                    cleaned.get(name, ""), cleaned.get("size_unit", "in")
                )
            except ValidationError as error:
                self.add_error(name, error)
        return cleaned

    def parts(self) -> list[PartListed]:
        """Return the parts list as typed."""
        lines = self.line_sets["part"].typed()
        return [PartListed(one["name"], one["count"]) for one in lines]

    def own_fields(self) -> dict[str, Any]:
        """Return the values of the type itself, without parts and version."""
        data = self.cleaned_data
        plain = (
            "name",
            "code",
            "build",
            "kept_by",
            "grai",
            "weight_unit",
            "freight_class",
        )
        weight = data["tare_weight"]
        return {
            **{name: data[name] for name in (*plain, "most_stacked", "takedown")},
            **{f"{name}_mm": data[f"{name}_mm"] for name in SIZES},
            "tare_weight": format_figure(weight) if weight is not None else "",
        }


class EditCrateTypeForm(CrateTypeForm, StaleForm):
    """Change a type of crate."""

    act = "Save the changes"
    creates = False

    def rows(self) -> Iterable[Any]:
        """Return the version, then the same fields."""
        return ["version", *super().rows()]


def initial_of(row: CrateType) -> dict[str, Any]:
    """Return what the form of an existing type shows first; parts prefetched."""
    plain = ("version", "name", "code", "build", "kept_by", "grai", "tare_weight")
    initial: dict[str, Any] = {
        name: getattr(row, name)
        for name in (*plain, "weight_unit", "freight_class", "most_stacked", "takedown")
    }
    initial["size_unit"] = "in"
    for name in SIZES:
        millimeters = getattr(row, f"{name}_mm")
        inches = format_length(millimeters).split('"')[0] if millimeters else ""
        initial[name] = inches
    initial["part"] = [
        {"name": part.name, "count": part.count} for part in row.parts.all()
    ]
    return initial
