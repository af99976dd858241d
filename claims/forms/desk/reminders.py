"""The form for a mail each morning."""

from collections.abc import Sequence
from typing import Any

from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.mail.outbox import AddressField
from inventory.models import Location

HOURS = {str(hour): f"{hour}:00 AM" for hour in range(5, 12)}


class MorningMailForm(HouseForm):
    """Ask for a mail each morning."""

    act = "Send me a mail each morning"

    address = AddressField(label="Your email", missing="Enter your email.")
    hour = PickField(label="At", words=HOURS, missing="Choose the hour.")
    location = PickField(label="By the clock of", words={}, missing="Choose the dock.")

    def __init__(self, *args: Any, places: Sequence[Location], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words = {str(place.pk): place.name for place in places}
        self.fields["location"] = PickField(
            label="By the clock of", words=words, missing="Choose the dock."
        )

    def hour_of_day(self) -> int:
        """Return the hour, 0 to 23."""
        return int(self.cleaned_data["hour"])
