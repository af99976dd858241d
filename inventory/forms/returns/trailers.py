"""The trailer that a stack plan is made for, read from the address."""

from django import forms

from inventory.forms.core.number_fields import CountField
from inventory.rules.returns.stacks import LONG_VAN, Trailer

MOST_MM = 30_000


class TrailerForm(forms.Form):
    """A trailer's inside in millimetres, from the address; read, never saved."""

    length = CountField(label="Inside length, mm", least=1_000, most=MOST_MM)
    width = CountField(label="Inside width, mm", least=500, most=MOST_MM)
    height = CountField(label="Inside height, mm", least=500, most=MOST_MM)

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
