"""The form of one tap at the truck: when, who, with what, in which state."""

from datetime import datetime
from typing import Any

from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.text_fields import LineField
from inventory.models import Delivery
from inventory.rules.core import vocabulary as words

_YES_NO = {"yes": "Yes", "no": "No"}
_MOMENTS = {"started_at": "Unloading started now", "departed_at": "Driver left now"}


class FactForm(HouseForm):
    """One fact of the unloading; the button that was tapped says which."""

    now = PickField(label="Now", words=_MOMENTS)
    unloaded_by = PickField(label="Who unloaded?", words=words.UNLOADED_BY)
    unloaded_with = PickField(label="Unloaded with", words=words.UNLOADED_WITH)
    damaged_on_trailer = PickField(label="Damage on the trailer", words=_YES_NO)
    shippers_count = PickField(label="Shipper's load and count", words=_YES_NO)
    seal_condition = PickField(label="Seal", words=words.SEAL_CONDITIONS)
    seal_number = LineField(label="Seal number", most=30, is_identifier=True)

    def fact(self, delivery: Delivery, at: datetime) -> dict[str, Any]:
        """Return the columns that the tap changes; a moment is ``at``, when it was tapped."""
        said = {
            name: self.cleaned_data[name] for name in self.data if name in self.fields
        }
        moment = said.pop("now", "")
        for name in ("damaged_on_trailer", "shippers_count"):
            if name in said:
                said[name] = said[name] == "yes"
        found = {k: v for k, v in said.items() if v != getattr(delivery, k)}
        return found | ({moment: at} if moment else {})


class UnseenForm(HouseForm):
    """Why crates of one bill are not inspected."""

    reason = PickField(label="Why not?", words=words.NOT_INSPECTED)
    version = LineField(label="Version", most=9)

    def clean_version(self) -> int:
        """Return the version that the person saw; 0 is nobody's."""
        text = self.cleaned_data["version"]
        return int(text) if text.isascii() and text.isdigit() else 0
