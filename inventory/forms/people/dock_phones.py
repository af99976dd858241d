"""Forms for the shared phones of a dock."""

from typing import Any

from django.db.models import QuerySet

from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import RowField
from inventory.forms.core.text_fields import LineField
from inventory.models import Location


class DockPhoneForm(HouseForm):
    """Make this phone a shared one."""

    act = "Make it a shared phone"

    location = RowField(label="Location", missing="Choose the location.")
    name = LineField(
        label="Name of the phone",
        most=40,
        missing="Enter a name, such as Yellow phone.",
        help_text="What you call it, such as Yellow phone.",
    )

    def __init__(self, *args: Any, places: QuerySet[Location], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["location"].queryset = places  # type: ignore[attr-defined]


class EndDockPhoneForm(HouseForm):
    """End a shared phone; there is nothing to type."""

    act = "End it"
