"""Forms of replaced parts: tag one, and how its keeping ends."""

from datetime import date
from typing import Any

from crispy_forms.layout import Row

from claims.forms.bench.fields import call_not_optional
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField


class TagPartForm(HouseForm):
    """Tag a replaced part."""

    creates = True
    act = "Tag the part"

    part = LineField(label="Part", most=120, missing="Enter the part.")
    shelf = LineField(label="Shelf", most=40, missing="Enter where it is kept.")

    def rows(self) -> list[Any]:
        """Return part and shelf on one line."""
        return [Row("part", "shelf")]


class WaivePartForm(StaleForm):
    """Record the carrier's written waiver of a part."""

    act = "Record the waiver"

    photos = PhotosField(
        label="Waiver",
        offers_earlier=True,
        help_text="The carrier's own words, as a photo or PDF.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        call_not_optional(self, "photos")

    def clean(self) -> dict[str, Any]:
        """Ask for the document; of several pages the first one names it."""
        cleaned = super().clean() or {}
        if not cleaned.get("photos") and "photos" not in self.errors:
            self.add_error("photos", "Add the carrier's waiver.")
        return cleaned


class CollectPartForm(StaleForm):
    """Record that the carrier collected a part."""

    act = "Record as collected"

    who = LineField(
        label="Who collected it?", most=100, missing="Enter who collected it."
    )
    on = DayField(label="Day", required=True)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        on: Any = self.fields["on"]
        on.latest = today

    def rows(self) -> list[Any]:
        """Return who and when on one line."""
        return [Row("who", "on")]


class ScrapPartForm(StaleForm):
    """Scrap a part whose keeping has ended."""

    act = "Scrap the part"
