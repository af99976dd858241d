"""The form for the carrier's answer about a crate that is over."""

from datetime import date
from typing import Any

from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.text_fields import LineField
from inventory.rules.core import vocabulary as words


class OverAnswerForm(HouseForm):
    """Ask what the carrier did, and when."""

    act = "Save"
    creates = True

    answer = PickField(
        label="What did the carrier do?",
        words=words.OVER_ANSWERS,
        missing="Choose one.",
        as_rows=True,
    )
    on = DayField(label="Day", missing="Enter a date.")
    note = LineField(
        label="Note",
        most=300,
        help_text="Such as the driver's name, or the number of the letter.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day: Any = self.fields["on"]
        day.latest = today
