"""The form of a crate type: its build, its sizes, its parts, how it comes apart."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row
from django.core.exceptions import ValidationError

from inventory.actions.crates.types import PartListed
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
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
LEAST_PART_ROWS = 6
USUAL = {1: "Panels, base, lid, brackets, hardware bag: one line for each kind."}
"""What stands below the first line of the parts list."""


class CrateTypeForm(HouseForm):
    """Add a type of crate."""

    act = "Save the crate type"

    name = LineField(
        label="What you call it", most=60, missing="Write a name for this type."
    )
    code = LineField(label="The supplier's code for it", most=40, is_identifier=True)
    build = PickField(
        label="How it is built", words=crate_words.CRATE_BUILDS, missing="Choose one."
    )
    kept_by = PickField(
        label="How the supplier keeps count",
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
        label="Sizes are in", words=LENGTH_UNITS, missing="Choose inches or mm."
    )
    length = LengthField(label="Length", help_text="Outside, such as 48 1/2.")
    width = LengthField(label="Width")
    height = LengthField(label="Height")
    nested_height = LengthField(label="Height when folded or nested")
    tare_weight = MassField(label="Weight empty")
    weight_unit = PickField(
        label="Weight is in", words=vocabulary.MASS_UNITS, missing="Choose lb or kg."
    )
    most_stacked = CountField(
        label="How many may be stacked",
        least=1,
        most=20,
        missing="Write how many may stand on each other, 1 for none on top.",
    )
    takedown = TextField(
        label="How it comes apart",
        most=2000,
        rows=5,
        help_text="Step by step, so that it goes back whole. The usual cautions are "
        "shown beside it.",
    )

    def __init__(
        self, *args: Any, part_rows: int = LEAST_PART_ROWS, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.part_rows = part_rows
        for number in range(1, part_rows + 1):
            self.fields[f"part_{number}_name"] = LineField(
                label=f"Part {number}", most=40, help_text=USUAL.get(number, "")
            )
            self.fields[f"part_{number}_count"] = CountField(
                label="How many", least=1, most=200
            )

    def rows(self) -> Iterable[Any]:
        """Return what it is, its sizes, its parts and its takedown."""
        parts = [
            Row(f"part_{number}_name", f"part_{number}_count")
            for number in range(1, self.part_rows + 1)
        ]
        return [
            Fieldset(
                "What it is",
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
            ),
            Fieldset("Parts list", *parts),
            Fieldset("Taking it apart", "takedown"),
        ]

    def clean_grai(self) -> str:
        """Return the 14 digits, or say what is wrong with them."""
        text = "".join(self.cleaned_data["grai"].split())
        if not text:
            return ""
        digits = text.zfill(14)
        if not gs1.is_digits(text) or len(text) not in {13, 14} or digits[0] != "0":
            raise ValidationError(
                "Write 13 digits, or 14 with a 0 in front. The serial is not part of "
                "the type."
            )
        due = gs1.check_digit(digits[:-1])
        if digits[-1] != due:
            raise ValidationError(
                f"The last digit should be {due}. Compare it with the label."
            )
        return digits

    def clean(self) -> dict[str, Any]:
        """Turn sizes into millimetres and complete the parts."""
        cleaned: dict[str, Any] = super().clean() or {}
        for name in SIZES:
            try:
                cleaned[f"{name}_mm"] = length_of(
                    cleaned.get(name, ""), cleaned.get("size_unit", "in")
                )
            except ValidationError as error:
                self.add_error(name, error)
        self._check_parts(cleaned)
        return cleaned

    def _check_parts(self, cleaned: dict[str, Any]) -> None:
        seen: set[str] = set()
        for number in range(1, self.part_rows + 1):
            name_field, count_field = f"part_{number}_name", f"part_{number}_count"
            name, count = cleaned.get(name_field), cleaned.get(count_field)
            if name and count is None and count_field not in self.errors:
                self.add_error(count_field, "Write how many there should be.")
            if count and not name:
                self.add_error(name_field, "Write which part, or clear the number.")
            if name and name.lower() in seen:
                self.add_error(
                    name_field, "This part is listed above. Add it up there."
                )
            seen.add((name or "").lower())

    def parts(self) -> list[PartListed]:
        """Return the parts list as typed."""
        listed = (
            (
                self.cleaned_data.get(f"part_{number}_name"),
                self.cleaned_data.get(f"part_{number}_count"),
            )
            for number in range(1, self.part_rows + 1)
        )
        return [PartListed(name, count) for name, count in listed if name and count]

    def own_fields(self) -> dict[str, Any]:
        """Return the values of the type itself, without parts and version."""
        data = self.cleaned_data
        plain = ("name", "code", "build", "kept_by", "grai", "weight_unit")
        weight = data["tare_weight"]
        return {
            **{name: data[name] for name in (*plain, "most_stacked", "takedown")},
            **{f"{name}_mm": data[f"{name}_mm"] for name in SIZES},
            "tare_weight": format_figure(weight) if weight is not None else "",
        }


class EditCrateTypeForm(CrateTypeForm, StaleForm):
    """Change a type of crate."""

    act = "Save the changes"

    def rows(self) -> Iterable[Any]:
        """Return the version, then the same lines."""
        return ["version", *super().rows()]


def initial_of(row: CrateType) -> dict[str, Any]:
    """Return what the form of a type that stands begins with; parts prefetched."""
    plain = ("version", "name", "code", "build", "kept_by", "grai", "tare_weight")
    initial: dict[str, Any] = {
        name: getattr(row, name)
        for name in (*plain, "weight_unit", "most_stacked", "takedown")
    }
    initial["size_unit"] = "in"
    for name in SIZES:
        millimetres = getattr(row, f"{name}_mm")
        inches = format_length(millimetres).split('"')[0] if millimetres else ""
        initial[name] = inches
    for number, part in enumerate(row.parts.all(), start=1):
        initial[f"part_{number}_name"] = part.name
        initial[f"part_{number}_count"] = part.count
    return initial
