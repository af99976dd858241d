"""The trailer that a stack plan is made for, read from the address."""

from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.core.measure_fields import LengthField, length_of
from inventory.rules.reckoning.measures import (
    LENGTH_UNITS,
    MM_PER_INCH,
    format_inches,
)
from inventory.rules.returns.stacks import LONG_VAN, Trailer

_LEAST_MM = {"length": 1_000, "width": 500, "height": 500}


class TrailerForm(forms.Form):
    """A trailer's inside, in millimetres unless said; read, never saved."""

    unit = forms.ChoiceField(choices=tuple(LENGTH_UNITS.items()), required=False)
    length = LengthField(label="Inside length")
    width = LengthField(label="Inside width")
    height = LengthField(label="Inside height")

    def clean(self) -> dict[str, Any]:
        """Turn the sizes into millimetres. Raise ValidationError for a tiny one."""
        got = super().clean() or self.cleaned_data
        for name, least in _LEAST_MM.items():
            size = length_of(got.get(name, ""), got.get("unit") or "mm")
            if size is not None and size < least:
                raise ValidationError(f"No trailer is {size} mm.")
            got[name] = size
        return got

    def trailer(self) -> Trailer:
        """Return the trailer asked for; a long dry van where nothing usable is."""
        if not self.is_valid():
            return LONG_VAN
        got = self.cleaned_data
        return Trailer(
            got["length"] or LONG_VAN.length_mm,
            got["width"] or LONG_VAN.width_mm,
            got["height"] or LONG_VAN.height_mm,
        )

    def inside(self, unit: str) -> list[tuple[str, str, str]]:
        """Return name, label and value of each size in ``unit``, to type over."""
        trailer = self.trailer()
        is_typed = self.is_valid() and self.cleaned_data["unit"] == unit
        said = self.data if is_typed else {}
        sizes = (trailer.length_mm, trailer.width_mm, trailer.height_mm)
        return [
            (name, f"Inside {name}, {unit}", said.get(name) or _rounded(size, unit))
            for name, size in zip(_LEAST_MM, sizes, strict=True)
        ]


def _rounded(size_mm: int, unit: str) -> str:
    if unit == "mm":
        return str(size_mm)
    return format_inches(Fraction(size_mm) / MM_PER_INCH, 4).removesuffix('"')
